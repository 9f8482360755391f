// SPDX-License-Identifier: BSL-1.0
// Fuzzes the parser of quantities. What is parsed is finite, and its text in any unit of its dimension parses back
// to it.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <string>
#include <string_view>

#include <filterflow/core/text.hpp>

namespace {

using namespace filterflow;

[[noreturn]] void fail(const char* what, std::string_view text, std::string_view printed) {
    std::fprintf(stderr, "quantity_text: %s: \"%.*s\" and \"%.*s\"\n", what, static_cast<int>(text.size()), text.data(),
                 static_cast<int>(printed.size()), printed.data());
    std::abort();
}

template <class Q>
double raw(const Q& quantity) {
    if constexpr (std::is_same_v<Q, double>) {
        return quantity;
    } else {
        return quantity.value();
    }
}

template <class Q>
void try_text(std::string_view text) {
    Q quantity{};
    try {
        quantity = parse_quantity<Q>(text);
    } catch (const TextError& error) {
        if (error.offset > text.size()) fail("an error behind the end of the text", text, error.what());
        return;
    }
    const double value = raw(quantity);
    if (!std::isfinite(value)) fail("a value that is not finite", text, "");
    for (const detail::UnitName& unit : detail::unit_names) {
        if (unit.dimension != detail::dimension_of<Q>()) continue;
        const std::string name(detail::printed_spelling(unit));
        std::string printed;
        try {
            printed = to_string(quantity, name, 17);
        } catch (const Error&) {
            // Refused only where the number in this unit is too large for double precision.
            if (std::abs(value) < 0.5 * unit.factor * std::numeric_limits<double>::max())
                fail("not printed", text, name);
            continue;
        }
        double back = 0.0;
        try {
            back = raw(parse_quantity<Q>(printed));
        } catch (const TextError&) {
            // The last bit may carry the largest numbers over the edge.
            if (std::abs(value) > 0.999999 * std::numeric_limits<double>::max()) continue;
            fail("text that does not parse back", text, printed);
        }
        constexpr double eps = std::numeric_limits<double>::epsilon();
        const double least = std::numeric_limits<double>::denorm_min() * (1.0 + unit.factor);   // of tiny numbers
        const double allowed = 4.0 * eps * (std::abs(value) + 2.0 * std::abs(unit.offset)) + least;
        if (!(std::abs(back - value) <= allowed)) fail("text that parses to something else", text, printed);
    }
}

}   // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(data, data + size);
    try_text<Pressure>(text);
    try_text<Temperature>(text);
    try_text<VolumeFlow>(text);
    try_text<Length>(text);
    try_text<Time>(text);
    try_text<Energy>(text);
    try_text<MassConcentration>(text);
    try_text<double>(text);
    try {
        (void)unit_dimension_name(text);
    } catch (const TextError&) {
    }
    return 0;
}
