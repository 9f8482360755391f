// SPDX-License-Identifier: BSL-1.0
// The pleat count with the least pressure drop, with and without bounds, and the first-order rule for the gap.

#include <cmath>
#include <optional>
#include <random>
#include <vector>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/optimum_gap.hpp>
#include <filterflow/resistance/pleat_count.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

PleatedFilter paper() {
    return {.medium = {.thickness = 0.6 * mm, .permeability = 2e-11 * m2},
            .pack = {.count = 1, .depth = 44 * mm, .width = 100 * mm, .length = 1 * m}};
}

/// The best of all counts up to a greatest one, by trying each.
int best_of_all(PleatedFilter filter, VolumeFlow flow, int most) {
    int best = 0;
    Pressure least = 0 * Pa;
    for (int count = 1; count <= most; ++count) {
        filter.pack.count = count;
        Pressure drop;
        try {
            drop = pressure_drop(filter, flow, fan_test_air());
        } catch (const NoSolution&) {
            continue;
        }
        if (best == 0 || drop < least) {
            best = count;
            least = drop;
        }
    }
    return best;
}

}   // namespace

TEST_CASE("the optimum pleat count is the least of all counts", "[own]") {
    std::mt19937_64 random(4);
    const auto log_between = [&](double a, double b) {
        return std::exp(std::uniform_real_distribution<double>(std::log(a), std::log(b))(random));
    };
    for (std::size_t i = 0; i < test::sweep_length(150); ++i) {
        PleatedFilter f = paper();
        f.medium.thickness = log_between(0.3e-3, 2e-3) * m;
        f.medium.permeability = log_between(1e-12, 2e-10) * m2;
        f.pack.depth = log_between(15e-3, 250e-3) * m;
        const bool triangular = i % 3 == 0;
        if (triangular) {
            f.pack.shape = PleatShape::triangular;
            f.pack.fold_radius = log_between(0.2e-3, 0.5e-3) * m;
        } else if (i % 3 == 1) {
            f.pack.inlet_gap_share = 0.55;
        }
        const VolumeFlow flow = log_between(0.02, 0.25) * m3_per_s;
        const OptimumPleatCount best = find_optimum_pleat_count(f, flow, fan_test_air());
        INFO(i << ": t " << f.medium.thickness / mm << " k " << f.medium.permeability / m2 << " L " << f.pack.depth / mm
               << " q " << flow.value() << "; " << best.evaluations << " evaluations");
        CHECK(best.count == best_of_all(f, flow, best.greatest_count));
        CHECK(best.evaluations <= 30);
        CHECK((best.limited_by == PleatCountLimit::folding) == (best.count == best.greatest_count));
        f.pack.count = best.count;
        CHECK(best.drop.total == pressure_drop(f, flow, fan_test_air()));
        CHECK(best.media_area == pleat_geometry(f.pack, f.medium.thickness).media_area);
    }
}

TEST_CASE("counts without an answer do not keep the optimum from being found", "[own]") {
    // Tips of 0.11 mm: the tightest packs, at which the search may begin, have no solution.
    PleatedFilter f{.medium = {.thickness = 0.227 * mm, .permeability = 3.27e-10 * m2},
                    .pack = {.count = 1,
                             .depth = 151 * mm,
                             .width = 511 * mm,
                             .length = 511 * mm,
                             .shape = PleatShape::triangular,
                             .fold_radius = 0.056 * mm}};
    const VolumeFlow flow = 0.384 * m3_per_s;
    const OptimumPleatCount best = find_optimum_pleat_count(f, flow, fan_test_air());
    const int most = best.greatest_count;
    f.pack.count = most;
    CHECK_THROWS_AS(pressure_drop(f, flow, fan_test_air()), NoSolution);
    CHECK(best.count == best_of_all(f, flow, most));
    CHECK(best.evaluations <= 30);
    // Where all are like that, the message names a count.
    PleatedFilter hopeless = paper();
    hopeless.pack.inlet_gap_share = 1e-7;
    hopeless.medium.permeability = 1e-6 * m2;
    CHECK_THROWS_WITH(find_optimum_pleat_count(hopeless, flow, fan_test_air()),
                      Contains("none has a drop") && Contains(" pleats: pressure_drop"));
}

TEST_CASE("the optimum of the tabulated paper is where the table has it", "[own]") {
    AirState air = fan_test_air();
    air.viscosity = 1.81e-5 * Pa_s;
    PleatedFilter tabulated = paper();
    tabulated.development_coefficient = 0.0;   // the table has none
    const OptimumPleatCount best = find_optimum_pleat_count(tabulated, 0.15 * m3_per_s, air);
    CHECK(best.greatest_count == 83);
    CHECK(best.count >= 21);   // pleat_count_curve.csv: the full model has its least near 22 pleats
    CHECK(best.count <= 23);
    CHECK(best.limited_by == PleatCountLimit::none);
    CHECK(best.cost == 0 * money);
    CHECK(find_optimum_pleat_count(paper(), 0.15 * m3_per_s, air).count < best.count);   // wider gaps pay
    PleatedFilter linear = tabulated;
    linear.momentum_factor = 0.0;   // without momentum the optimum comes later
    CHECK(find_optimum_pleat_count(linear, 0.15 * m3_per_s, air).count > best.count);
    PleatedFilter felt = paper();
    felt.medium.thickness = 60 * mm;
    CHECK_THROWS_AS(find_optimum_pleat_count(felt, 0.15 * m3_per_s, air), NoSolution);
    felt.pack.width = 590 * mm;   // wide enough, but not deep enough
    CHECK_THROWS_WITH(find_optimum_pleat_count(felt, 0.15 * m3_per_s, air), Contains("depth of 0.044 m"));
}

TEST_CASE("bounds on area and cost bind and are named", "[own]") {
    const AirState air = fan_test_air();
    const VolumeFlow flow = 0.15 * m3_per_s;
    const auto with = [&](const PleatCountBounds& bounds) {
        return find_optimum_pleat_count(paper(), flow, air, bounds);
    };
    const int free = with({}).count;
    // A pleat takes 2 * 44 mm * 1 m = 0.088 m2.
    const OptimumPleatCount area = with({.greatest_media_area = 10.5 * 0.088 * m2});
    CHECK(area.count == 10);
    CHECK(area.limited_by == PleatCountLimit::media_area);
    CHECK(area.media_area / m2 == Approx(0.88));
    // A pleat costs 0.088 * 4 + 0.10 = 0.452.
    const PleatCountBounds priced{
        .greatest_cost = 6 * money, .price_per_media_area = 4 * money_per_m2, .price_per_pleat = 0.10 * money};
    const OptimumPleatCount cost = with(priced);
    CHECK(cost.count == 13);
    CHECK(cost.limited_by == PleatCountLimit::cost);
    CHECK(cost.cost / money == Approx(13 * 0.452));
    PleatCountBounds both = priced;
    both.greatest_media_area = 10.5 * 0.088 * m2;
    CHECK(with(both).limited_by == PleatCountLimit::media_area);
    // Bounds that are met beyond the optimum, and just at it, do not bind.
    const OptimumPleatCount wide = with({.greatest_media_area = 50 * 0.088 * m2});
    CHECK(wide.count == free);
    CHECK(wide.limited_by == PleatCountLimit::none);
    const OptimumPleatCount exact = with({.greatest_media_area = (free + 0.5) * 0.088 * m2});
    CHECK(exact.count == free);
    CHECK(exact.limited_by == PleatCountLimit::none);
    CHECK_THROWS_WITH(with({.greatest_media_area = 0.08 * m2}), Contains("one pleat takes 0.088 m2"));
    CHECK_THROWS_WITH(with({.greatest_cost = 1 * money}), Contains("prices of medium and pleats"));
    CHECK_THROWS_AS(with({.greatest_cost = -1 * money, .price_per_pleat = 1 * money}), DomainError);
    CHECK_THROWS_AS(with({.price_per_pleat = -1 * money}), DomainError);
    CHECK_THROWS_AS(find_optimum_pleat_count(paper(), 0 * m3_per_s, air), DomainError);
}

TEST_CASE("lower permeability asks for more pleats", "[outside]") {
    // Chen, Pui and Liu 1995, abstract: media of lower permeability have their optimum at a higher pleat count.
    PleatedFilter filter{.medium = {.thickness = 0.6 * mm, .permeability = 8e-11 * m2},
                         .pack = {.count = 1, .depth = 44 * mm, .width = 500 * mm, .length = 500 * mm}};
    int before = 0;
    for (const double k : {8e-11, 2e-11, 5e-12, 1e-12}) {
        filter.medium.permeability = k * m2;
        const int count = find_optimum_pleat_count(filter, 0.4 * m3_per_s, duct_design_air()).count;
        CHECK(count > before);
        before = count;
    }
}

TEST_CASE("the first-order rule finds the least of the first-order drop", "[own]") {
    for (const double t : {1e-6, 0.3e-3, 2e-3, 20e-3}) {
        for (const double k : {1e-12, 3e-11, 5e-10}) {
            for (const double depth : {20e-3, 100e-3}) {
                const PorousLayer medium{.thickness = t * m, .permeability = k * m2};
                const double best = first_order_optimum_gap(medium, depth * m) / m;
                const double c = 16 * k * depth * depth / t;
                CHECK(best * best * best * best - 2 * c * best - 3 * c * t ==
                      Approx(0.0).margin(1e-12 * std::pow(best, 4)));
                const auto drop = [&](double gap) {   // over face velocity and viscosity: R v + 8 mu q L/h^3
                    return t / k * (gap + t) / depth + 16 * (gap + t) * depth / (gap * gap * gap);
                };
                CHECK(drop(best) <= drop(1.001 * best));
                CHECK(drop(best) <= drop(0.999 * best));
            }
        }
    }
}

TEST_CASE("channels cost half of what a thin medium does at the optimum", "[own]") {
    // Air that weighs next to nothing, a thin medium that resists much: friction alone, to first order.
    AirState air = fan_test_air();
    air.density = 1e-9 * kg_per_m3;
    PleatedFilter filter{.medium = {.thickness = 0.5 * um, .permeability = 1e-18 * m2},
                         .pack = {.count = 1, .depth = 40 * mm, .width = 1 * m, .length = 1 * m}};
    const OptimumPleatCount best = find_optimum_pleat_count(filter, 0.5 * m3_per_s, air);
    const double gap = first_order_optimum_gap(filter.medium, filter.pack.depth) / m;
    CHECK(best.count == Approx(1 / (2 * (gap + 0.5e-6))).epsilon(0.01));
    CHECK(best.drop.channels / best.drop.medium == Approx(0.5).epsilon(0.03));
    // A thicker, usual medium: the full linear model has its optimum close to the rule.
    filter.medium = {.thickness = 0.6 * mm, .permeability = 4e-12 * m2};
    const double usual = first_order_optimum_gap(filter.medium, filter.pack.depth) / m;
    CHECK(find_optimum_pleat_count(filter, 0.5 * m3_per_s, air).count ==
          Approx(1 / (2 * (usual + 0.6e-3))).epsilon(0.02));
}

TEST_CASE("the optimum gap has its derivatives and refuses nonsense", "[own]") {
    using D = Dual<3>;
    const auto gap = [](double t, double k, double depth) {
        return first_order_optimum_gap(PorousLayer{.thickness = t * m, .permeability = k * m2}, depth * m) / m;
    };
    const double t = 0.6e-3, k = 2e-11, depth = 0.044;
    const D d = first_order_optimum_gap(BasicPorousLayer<D>{BasicLength<D>::from_value(D::input(t, 0)),
                                                            BasicPermeability<D>::from_value(D::input(k, 1))},
                                        BasicLength<D>::from_value(D::input(depth, 2)))
                    .value();
    CHECK(d.value == Approx(gap(t, k, depth)).epsilon(1e-15));
    CHECK(d.derivative[0] ==
          Approx((gap(t * 1.0001, k, depth) - gap(t * 0.9999, k, depth)) / (2e-4 * t)).epsilon(1e-6));
    CHECK(d.derivative[1] ==
          Approx((gap(t, k * 1.0001, depth) - gap(t, k * 0.9999, depth)) / (2e-4 * k)).epsilon(1e-6));
    CHECK(d.derivative[2] ==
          Approx((gap(t, k, depth * 1.0001) - gap(t, k, depth * 0.9999)) / (2e-4 * depth)).epsilon(1e-6));
    const PorousLayer medium{.thickness = 0.6 * mm, .permeability = 2e-11 * m2};
    CHECK_THROWS_AS(first_order_optimum_gap(medium, 0 * m), DomainError);
    CHECK_THROWS_AS(first_order_optimum_gap(medium, 1e300 * m), DomainError);
    CHECK_THROWS_AS(first_order_optimum_gap(PorousLayer{.thickness = 0.6 * mm, .permeability = -1 * m2}, 1 * m),
                    DomainError);
}

TEST_CASE("the integer search finds the least of unimodal functions", "[own]") {
    std::mt19937_64 random(9);
    std::size_t calls = 0;
    const std::size_t length = test::sweep_length(2000);
    for (std::size_t i = 0; i < length; ++i) {
        const int most = 1 + static_cast<int>(random() % 400), guess = 1 + static_cast<int>(random() % 400);
        const double a = std::pow(10.0, static_cast<double>(random() % 1000) / 200.0),
                     p = 1 + static_cast<double>(random() % 4);
        const auto f = [&](int n) {
            ++calls;
            return a / n + std::pow(n / 50.0, p) + (n > 380 ? 1e6 * (n - 380) : 0.0);
        };
        const int found = detail::least_integer(f, most, guess);
        int best = 1;
        for (int n = 2; n <= most; ++n) {
            if (f(n) < f(best)) best = n;
        }
        calls -= 2 * static_cast<std::size_t>(most - 1);
        INFO(most << " " << guess << " " << a << " " << p);
        CHECK(found == best);
    }
    CHECK(static_cast<double>(calls) / static_cast<double>(length) < 18.0);   // from guesses that are just anything
}
