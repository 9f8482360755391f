// SPDX-License-Identifier: BSL-1.0
// An executable of its own, since it replaces operator new to count what is allocated.
#include <cstddef>
#include <cstdlib>
#include <new>
#include <random>
#include <vector>

#include <filterflow/rating/sampled_ratings.hpp>
#include <filterflow/rating/twelve_sizes.hpp>

#include "support/catch.hpp"

namespace {

std::size_t allocations = 0;

}   // namespace

// All of them, so that what one allocates another may free. Not inlined: g++ 12 would see free() meet operator new and
// warn.
[[gnu::noinline]] void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
    ++allocations;
    return std::malloc(size > 0 ? size : 1);
}
[[gnu::noinline]] void* operator new(std::size_t size) {
    if (void* p = operator new(size, std::nothrow)) return p;
    throw std::bad_alloc();
}
[[gnu::noinline]] void* operator new[](std::size_t size) { return operator new(size); }
[[gnu::noinline]] void* operator new[](std::size_t size, const std::nothrow_t& tag) noexcept {
    return operator new(size, tag);
}
[[gnu::noinline]] void operator delete(void* p) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete[](void* p) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete(void* p, std::size_t) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete[](void* p, std::size_t) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete(void* p, const std::nothrow_t&) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete[](void* p, const std::nothrow_t&) noexcept { std::free(p); }

using namespace filterflow;

TEST_CASE("the count of allocations counts", "[own]") {
    const std::size_t before = allocations;
    const std::vector<double> some(100, 1.0);
    CHECK(some.size() == 100);
    CHECK(allocations > before);
}

TEST_CASE("twelve sizes are rated both ways without allocation", "[own]") {
    std::mt19937_64 random(1);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    TwelveSizeCurves curves;
    (void)twelve_size_ratings(curves);   // the weights are computed once
    int sum = 0;
    const std::size_t before = allocations;
    for (int n = 0; n < 1000; ++n) {
        for (std::size_t i = 0; i < 12; ++i) {
            curves.untreated[i] = unit(random);
            curves.conditioned[i] = unit(random);
        }
        curves.composite = composite_minimum(curves.untreated, curves.conditioned);
        curves.average_arrestance = curves.initial_arrestance = unit(random);
        const TwelveSizeRatings ratings = twelve_size_ratings(curves);
        sum += ratings.highest_value + ratings.percent.value_or(0);
    }
    const std::size_t after = allocations;
    CHECK(sum > 0);
    CHECK(after == before);
}

TEST_CASE("a draw allocates nothing: ten thousand allocate as much as ten", "[own]") {
    ReplicateCurves data;
    for (int k = 0; k < 3; ++k) {
        TwelveEfficiencies e;
        e.fill(0.62);   // every draw in one class, so that both results are as long
        data.untreated.push_back(e);
        data.discharged.push_back(e);
        data.dust_conditioned.push_back(e);
    }
    data.loaded.assign(4, data.untreated);
    (void)bootstrap_ratings(data, 1, 1);
    const auto count = [&](std::size_t draws) {
        const std::size_t before = allocations;
        (void)bootstrap_ratings(data, draws, 1);
        return allocations - before;
    };
    const std::size_t few = count(10), many = count(10000);
    CHECK(few == many);   // tables of resamples and the list of classes
}
