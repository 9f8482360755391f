// SPDX-License-Identifier: BSL-1.0
#pragma once

// Names of a network's nodes and branches: all letters in one block, found again through an open hash table of
// indices, so that a million names cost some 20 bytes each beside their letters.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>

namespace filterflow::detail {

class NameTable {
public:
    std::size_t size() const { return ends_.size(); }

    template <Deferred...>
    std::string_view name(std::size_t index) const {
        const std::size_t begin = index == 0 ? 0 : ends_[index - 1];
        return std::string_view(letters_).substr(begin, ends_[index] - begin);
    }

    template <Deferred...>
    std::optional<std::size_t> find(std::string_view name) const {
        if (slots_.empty()) return std::nullopt;
        const std::uint32_t found = slots_[slot_of(name)];
        if (found == free_slot) return std::nullopt;
        return found;
    }

    struct Entry {
        std::size_t index;
        bool is_new;
    };

    /// Index of a name, which is added if it is not there.
    template <Deferred...>
    Entry add(std::string_view name) {
        if (2 * (size() + 1) > slots_.size()) grow(4 * (size() + 4));
        std::uint32_t& slot = slots_[slot_of(name)];
        if (slot != free_slot) return {slot, false};
        if (letters_.size() + name.size() >= free_slot || size() + 1 >= free_slot) {
            throw DomainError("DuctNetwork: too many names; required: less than 4 GiB of them");
        }
        slot = static_cast<std::uint32_t>(size());
        letters_.append(name);
        ends_.push_back(static_cast<std::uint32_t>(letters_.size()));
        return {size() - 1, true};
    }

    template <Deferred...>
    void reserve(std::size_t count) {
        ends_.reserve(count);
        if (2 * count > slots_.size()) grow(2 * count);
    }

private:
    static constexpr std::uint32_t free_slot = 0xffffffffU;

    /// The slot that holds the name, or the free one where it belongs.
    template <Deferred...>
    std::size_t slot_of(std::string_view name) const {
        std::size_t at = std::hash<std::string_view>{}(name) & (slots_.size() - 1);
        while (slots_[at] != free_slot && this->name(slots_[at]) != name) at = (at + 1) & (slots_.size() - 1);
        return at;
    }

    template <Deferred...>
    void grow(std::size_t least) {
        std::size_t length = 8;
        while (length < least) length *= 2;
        slots_.assign(length, free_slot);
        for (std::size_t i = 0; i < size(); ++i) slots_[slot_of(name(i))] = static_cast<std::uint32_t>(i);
    }

    std::string letters_;
    std::vector<std::uint32_t> ends_;
    std::vector<std::uint32_t> slots_;
};

}   // namespace filterflow::detail
