// SPDX-License-Identifier: BSL-1.0
// Uncertain values against the worked examples of the GUM and of EURACHEM/CITAC, and against their own algebra.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>
#include <string>
#include <thread>
#include <vector>

#include <filterflow/core/units.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/numeric/uncertain_arithmetic.hpp>

#include "support/catch.hpp"
#include "support/gum_examples.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

}   // namespace

TEST_CASE("GUM H.1: the end gauge's length, uncertainty and effective degrees of freedom", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    const auto get = [&](const char* item) { return test::example_cell(table, "GUM H.1", item); };
    const auto input = [&](const char* item) {
        const std::string text = get(item);
        return uncertain(std::stod(text), test::number_after(text, "u", 0), item,
                         test::number_after(text, "dof", infinity));
    };
    const auto rectangular = [&](const char* item) {
        const std::string text = get(item);
        return uncertain(std::stod(text), test::number_after(text, "half width", 0) / std::sqrt(3.0), item,
                         test::number_after(text, "dof", infinity));
    };
    const Uncertain<double> d = input("d0 / nm") + input("d1 random") + input("d2 systematic");
    CHECK(d.standard_uncertainty() == Approx(std::stod(get("u(d)"))).epsilon(1e-5));
    CHECK(d.gradient.effective_degrees_of_freedom() == Approx(std::stod(get("dof of d"))).epsilon(0.02));
    const std::string cyclic = get("Delta cyclic");
    const Uncertain<double> theta =
        input("theta mean") +
        uncertain(0.0, test::number_after(cyclic, "half width", 0) / std::sqrt(2.0), "cyclic variation");
    CHECK(theta.standard_uncertainty() == Approx(std::stod(get("u(theta)"))).epsilon(1e-5));

    const Uncertain<double> da = rectangular("da / 1/K");
    const Uncertain<double> dtheta = rectangular("dtheta / K");
    const std::array<Uncertain<double>, 6> inputs{input("lS / nm"), d, da, theta, rectangular("aS / 1/K"), dtheta};
    const auto length = [](const auto& x) {
        return std::array{x[0] + x[1] - x[0] * (x[2] * x[3] + x[4] * x[5])};
    };
    const Uncertain<double> l = propagate<6>(length, inputs)[0];
    CHECK(l.value == Approx(std::stod(get("l"))).epsilon(1e-15));
    CHECK(l.standard_uncertainty() == Approx(std::stod(get("u_c(l) first order"))).epsilon(2e-5));
    CHECK(l.gradient.effective_degrees_of_freedom() == Approx(std::stod(get("effective dof"))).epsilon(0.01));
    const auto component = [&](const Uncertain<double>& x) {
        const InputHandle& handle = x.gradient.terms().front().input;
        return std::abs(l.gradient.derivative(handle)) * handle->standard_uncertainty;
    };
    CHECK(component(da) == Approx(std::stod(get("component da"))).epsilon(1e-4));
    CHECK(component(dtheta) == Approx(std::stod(get("component dtheta"))).epsilon(1e-4));
    // The GUM truncates the degrees of freedom and rounds: U99 = 2.92 x 32 nm = 93 nm.
    CHECK(coverage_factor(16, 0.99) == Approx(std::stod(get("t99(16)"))).epsilon(2e-5));
    CHECK(std::round(std::round(100 * coverage_factor(16, 0.99)) / 100 * std::round(l.standard_uncertainty())) ==
          std::stod(get("U99")));
}

TEST_CASE("GUM H.3: the calibration line's correlated block carries to a prediction", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    const auto get = [&](const char* item) { return test::example_cell(table, "GUM H.3", item); };
    const auto numbers = [&](const char* item) {
        const std::string text = get(item);
        std::vector<double> list;
        for (std::size_t at = 0; at < text.size();) {
            std::size_t used = 0;
            list.push_back(std::stod(text.substr(at), &used));
            at += used;
        }
        return list;
    };
    const std::vector<double> t = numbers("t_k"), b = numbers("b_k");
    REQUIRE(t.size() == 11);
    REQUIRE(b.size() == 11);
    std::vector<std::array<double, 2>> design;
    for (const double x : t) design.push_back({1.0, x - 20.0});
    const std::vector<double> weights(t.size(), 1.0);
    const auto fit = least_squares<2>(design, b, weights);
    const double s2 = fit.chi_squared / static_cast<double>(fit.degrees_of_freedom);
    CHECK(std::sqrt(s2) == Approx(std::stod(get("residual s"))).epsilon(1e-5));
    CHECK(fit.degrees_of_freedom == 9);
    std::array<double, 4> covariance = fit.covariance;
    for (double& c : covariance) c *= s2;
    const auto y = correlated_block(fit.parameters, covariance, "calibration", 9);
    CHECK(y[0].value == Approx(std::stod(get("intercept y1"))).epsilon(1e-7));
    CHECK(y[0].standard_uncertainty() == Approx(test::number_after(get("intercept y1"), "u", 0)).epsilon(1e-5));
    CHECK(y[1].value == Approx(std::stod(get("slope y2"))).epsilon(1e-5));
    CHECK(y[1].standard_uncertainty() == Approx(test::number_after(get("slope y2"), "u", 0)).epsilon(1e-5));
    CHECK(covariance[1] / std::sqrt(covariance[0] * covariance[3]) ==
          Approx(std::stod(get("correlation(y1,y2)"))).epsilon(1e-5));
    const Uncertain<double> at_30 = y[0] + scaled(y[1], 10.0);
    CHECK(at_30.value == Approx(std::stod(get("b(30 C)"))).epsilon(1e-7));
    CHECK(at_30.standard_uncertainty() == Approx(test::number_after(get("b(30 C)"), "u", 0)).epsilon(1e-5));
    // One variance was estimated, from nine degrees of freedom, so the prediction has nine too.
    CHECK(at_30.gradient.effective_degrees_of_freedom() == Approx(9.0).epsilon(1e-12));
}

TEST_CASE("EURACHEM/CITAC A1: the cadmium standard", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    const auto get = [&](const char* item) { return test::example_cell(table, "EURACHEM", item); };
    const std::string volume = get("V / mL");
    const Uncertain<double> cadmium =
        uncertain(std::stod(get("m / mg")), test::number_after(get("m / mg"), "u", 0), "m");
    const Uncertain<double> purity =
        uncertain(std::stod(get("P")), test::number_after(get("P"), "rectangular half width", 0) / std::sqrt(3.0), "P");
    const Uncertain<double> v =
        Uncertain<double>(std::stod(volume)) +
        uncertain(0.0, test::number_after(volume, "triangular half width", 0) / std::sqrt(6.0), "flask") +
        uncertain(0.0, test::number_after(volume, "plus normal u", 0), "filling") +
        uncertain(0.0, test::number_after(volume, "plus rectangular half width", 0) / std::sqrt(3.0), "temperature");
    const auto c = propagate<3>([](const auto& x) { return std::array{1000.0 * x[0] * x[1] / x[2]}; },
                                std::array{cadmium, purity, v})[0];
    CHECK(c.value == Approx(std::stod(get("c"))).epsilon(1e-12));
    CHECK(c.standard_uncertainty() == Approx(std::stod(get("u(c)"))).epsilon(1e-6));
    const InputHandle mass = cadmium.gradient.terms().front().input;
    CHECK(c.gradient.derivative(mass) * mass->standard_uncertainty ==
          Approx(std::stod(get("components m,V,P"))).epsilon(1e-6));
}

TEST_CASE("Welch-Satterthwaite: a course example", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    const auto get = [&](const char* item) { return test::example_cell(table, "Welch", item); };
    const Uncertain<double> sum = uncertain(0.0, std::stod(get("u_a")), "a", test::number_after(get("u_a"), "dof", 0)) +
                                  uncertain(0.0, std::stod(get("u_b")), "b");
    CHECK(sum.standard_uncertainty() == Approx(std::stod(get("u_c"))).epsilon(1e-6));
    CHECK(sum.gradient.effective_degrees_of_freedom() == Approx(std::stod(get("effective dof"))).epsilon(1e-5));
}

TEST_CASE("JCGM 101 9.2.2: the sum of four standard normals", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    Uncertain<double> sum(0.0);
    for (int i = 0; i < 4; ++i) sum = sum + uncertain(0.0, 1.0, "normal");
    CHECK(sum.standard_uncertainty() == 2.0);
    CHECK(coverage_interval(sum).upper == Approx(3.91993).epsilon(2e-6));
    // 9.2.3: four rectangular inputs; first order gives the same interval, 1 % wider than the exact +-3.8794.
    CHECK(coverage_interval(sum).upper == Approx(3.879407).epsilon(0.011));
}

TEST_CASE("an input is known by its identity, not by its name or value", "[own]") {
    const Uncertain<double> a = uncertain(5.0, 0.3, "x"), b = uncertain(5.0, 0.3, "x");
    CHECK((a - a).standard_uncertainty() == 0.0);
    CHECK((a - b).standard_uncertainty() == Approx(0.3 * std::sqrt(2.0)));
    CHECK((a + a).standard_uncertainty() == Approx(0.6));
    CHECK((a + b).standard_uncertainty() == Approx(0.3 * std::sqrt(2.0)));
    CHECK(scaled(a, -2.0).standard_uncertainty() == Approx(0.6));
    CHECK(Uncertain<double>(3.0).standard_uncertainty() == 0.0);
}

TEST_CASE("a shared input cancels in a difference: tied is not overlapping", "[own]") {
    const Uncertain<double> tare = uncertain(0.0, 5.0, "tare");
    const Uncertain<double> a = Uncertain<double>(60.0) + tare + uncertain(0.0, 0.5, "reading of a");
    const Uncertain<double> b = Uncertain<double>(63.0) + tare + uncertain(0.0, 0.5, "reading of b");
    const auto ia = coverage_interval(a), ib = coverage_interval(b);
    CHECK(ia.upper > ib.lower);   // the intervals overlap widely
    CHECK_FALSE(tied(a, b));      // and yet the two are told apart
    CHECK(tied(a, a + uncertain(0.5, 0.5, "c")));
    CHECK(tied(a, a));
}

TEST_CASE("covariance and correlation are of what two values share", "[own]") {
    const Uncertain<double> a = uncertain(1.0, 3.0, "a"), b = uncertain(2.0, 4.0, "b"), c = uncertain(3.0, 1.0, "c");
    const Uncertain<double> first = a + scaled(b, 2.0), second = scaled(b, 0.5) - c;
    CHECK(covariance(first.gradient, second.gradient) == Approx(16.0));
    CHECK(covariance(second.gradient, first.gradient) == Approx(16.0));
    CHECK(correlation(first.gradient, second.gradient) == Approx(16.0 / std::sqrt((9.0 + 64.0) * (4.0 + 1.0))));
    CHECK(correlation(a.gradient, a.gradient) == Approx(1.0));
    CHECK(covariance(a.gradient, c.gradient) == 0.0);
    CHECK(correlation(a.gradient, Gradient()) == 0.0);
    // u^2(x + y) = u^2(x) + u^2(y) + 2 u(x, y)
    CHECK((first + second).gradient.variance() ==
          Approx(first.gradient.variance() + second.gradient.variance() + 32.0));
}

TEST_CASE("products and quotients are stages of their own", "[own]") {
    const Uncertain<double> x = uncertain(1.3, 0.1, "x"), y = uncertain(0.7, 0.2, "y");
    const auto stage = propagate<2>(
        [](const auto& p) {
            return std::array{p[0] * p[1], p[0] / p[1], 3.0 * p[0], p[0] / 4.0, 2.0 / p[1], p[0] * p[0] / p[0] - p[0]};
        },
        std::array{x, y});
    const std::array by_hand{x * y, x / y, 3 * x, x / 4, 2 / y, x * x / x - x};
    for (std::size_t i = 0; i < by_hand.size(); ++i) {
        INFO(i);
        CHECK(by_hand[i].value == Approx(stage[i].value).margin(1e-15));
        CHECK(by_hand[i].standard_uncertainty() == Approx(stage[i].standard_uncertainty()).margin(1e-15));
    }
    // Quantities keep their dimensions; a ratio is a plain number.
    const Uncertain<VolumeFlow> flow = uncertain(2.0 * m_per_s, 0.1 * m_per_s, "velocity") * (0.5 * m2);
    CHECK(flow.standard_uncertainty() / m3_per_s == Approx(0.05));
    const Uncertain<Power> power = flow * uncertain(100 * Pa, 1 * Pa, "pressure");
    CHECK(power.value == 100 * W);
    CHECK(power.standard_uncertainty() / W == Approx(std::hypot(5.0, 1.0)));
    const Uncertain<double> ratio = flow / (1 * m3_per_s);
    CHECK(ratio.value == 1.0);
    CHECK(((10 * Pa) / uncertain(5 * Pa, 1 * Pa, "drop")).standard_uncertainty() == Approx(0.4));
    CHECK_THROWS_WITH(x / 0.0, Contains("divisor = 0"));
}

TEST_CASE("stages chain as the whole calculation would", "[own]") {
    const Uncertain<double> x = uncertain(1.3, 0.1, "x"), y = uncertain(0.7, 0.2, "y");
    const auto first = propagate<2>([](const auto& p) { return std::array{p[0] * p[1], p[0] / p[1], sin(p[0])}; },
                                    std::array{x, y});
    const auto second = propagate<3>([](const auto& p) { return std::array{p[0] * p[1] + p[2]}; },
                                     std::array{first[0], first[1], first[2]})[0];
    // x y * x / y + sin x = x^2 + sin x: y cancels.
    CHECK(second.value == Approx(1.69 + std::sin(1.3)));
    CHECK(second.gradient.derivative(x.gradient.terms().front().input) == Approx(2.6 + std::cos(1.3)));
    CHECK(second.gradient.derivative(y.gradient.terms().front().input) == Approx(0.0).margin(1e-15));
}

TEST_CASE("a combination of gradients is their sum one after the other", "[own]") {
    std::vector<Uncertain<double>> x;
    for (int i = 0; i < 6; ++i) x.push_back(uncertain(1.0, 0.1 * (i + 1), "x"));
    const std::array<Gradient, 4> gradients{(x[3] + x[1]).gradient, (x[1] - x[5]).gradient, Gradient(),
                                            (x[0] + x[1] + x[5]).gradient};
    const std::array<double, 4> factors{2.0, 0.0, 1.0, -3.0};
    const std::array<const Gradient*, 4> parts{&gradients[0], &gradients[1], &gradients[2], &gradients[3]};
    const Gradient at_once = Gradient::combination(parts, factors);
    Gradient by_one;
    for (std::size_t i = 0; i < 4; ++i) by_one.add(gradients[i], factors[i]);
    REQUIRE(at_once.terms().size() == 4);
    REQUIRE(by_one.terms().size() == 4);
    for (std::size_t k = 0; k < 4; ++k) {
        CHECK(at_once.terms()[k].input == by_one.terms()[k].input);
        CHECK(at_once.terms()[k].derivative == by_one.terms()[k].derivative);
    }
    CHECK(at_once.variance() == by_one.variance());
    CHECK(Gradient::combination({}, {}).terms().empty());
}

TEST_CASE("blockwise propagation equals propagation in one block", "[own]") {
    std::vector<Uncertain<double>> inputs;
    for (int i = 0; i < 7; ++i) inputs.push_back(uncertain(1.0 + 0.1 * i, 0.01 * (i + 1), "x"));
    const auto stage = [](auto p) {
        using T = std::remove_cvref_t<decltype(p[0])>;
        std::vector<T> out{T(1), T(0)};
        for (const auto& x : p) {
            out[0] *= x;
            out[1] += x * x;
        }
        return out;
    };
    const std::span<const Uncertain<double>> span(inputs);
    const auto by_two = propagate_blockwise<2>(stage, span);
    const auto at_once = propagate_blockwise<7>(stage, span);
    REQUIRE(by_two.size() == 2);
    for (std::size_t j = 0; j < 2; ++j) {
        CHECK(by_two[j].value == at_once[j].value);
        REQUIRE(by_two[j].gradient.terms().size() == 7);
        for (const auto& term : by_two[j].gradient.terms()) {
            CHECK(term.derivative == Approx(at_once[j].gradient.derivative(term.input)).epsilon(1e-15));
        }
    }
    // No inputs: the stage is still evaluated.
    const auto none = propagate_blockwise<2>(stage, std::span<const Uncertain<double>>());
    CHECK(none[0].value == 1.0);
}

TEST_CASE("a correlated block reproduces its covariance", "[own]") {
    const std::array<double, 3> estimates{1, 2, 3};
    const std::array<double, 9> covariance{4, 2, 0, 2, 5, 0, 0, 0, 0};   // the third is held: no input
    const auto block = correlated_block(estimates, covariance, "fit", 6);
    const auto covariance_of = [&](std::size_t i, std::size_t j) {
        return 0.5 * ((block[i] + block[j]).gradient.variance() - block[i].gradient.variance() -
                      block[j].gradient.variance());
    };
    CHECK(block[0].gradient.variance() == Approx(4));
    CHECK(block[1].gradient.variance() == Approx(5));
    CHECK(covariance_of(0, 1) == Approx(2));
    CHECK(block[2].gradient.terms().empty());
    CHECK(block[1].gradient.effective_degrees_of_freedom() == Approx(6));
    // Two blocks are two estimates of a variance: more degrees of freedom than one.
    const auto other = correlated_block(estimates, covariance, "fit", 6);
    CHECK((block[1] + other[1]).gradient.effective_degrees_of_freedom() == Approx(12));
    CHECK_THROWS_AS(correlated_block(std::array{1.0, 2.0}, std::array{1.0, 2.0, 2.0, 1.0}, "bad", 3), DomainError);
    CHECK_THROWS_AS(correlated_block(std::array{1.0}, std::array{-1.0}, "bad", 3), DomainError);
}

TEST_CASE("uncertain quantities keep their unit", "[own]") {
    const Uncertain<Pressure> p = uncertain(100 * Pa, 2 * Pa, "manometer");
    CHECK(p.standard_uncertainty() == 2 * Pa);
    CHECK((p + Uncertain<Pressure>(1 * kPa)).value == 1100 * Pa);
    CHECK(to_si(p).value == 100.0);
    CHECK(from_si<Pressure>(to_si(p)).standard_uncertainty() == 2 * Pa);
    CHECK(coverage_interval(p).contains(103.9 * Pa));
    CHECK_FALSE(coverage_interval(p).contains(104 * Pa));
}

TEST_CASE("inputs refuse what they cannot be", "[own]") {
    CHECK_THROWS_AS(elementary_input("x", -1.0), DomainError);
    CHECK_THROWS_AS(elementary_input("x", std::nan("")), DomainError);
    CHECK_THROWS_WITH(elementary_input("manometer", 1.0, 0.0), Contains("degrees_of_freedom of manometer"));
}

TEST_CASE("inputs made by several threads at once are different inputs", "[own]") {
    constexpr std::size_t each = 20000;
    std::array<std::vector<std::size_t>, 4> serials;
    std::vector<std::thread> threads;
    for (std::vector<std::size_t>& own : serials) {
        threads.emplace_back([&own] {
            for (std::size_t i = 0; i < each; ++i) own.push_back(elementary_input("reading", 1.0)->serial);
        });
    }
    for (std::thread& thread : threads) thread.join();
    std::vector<std::size_t> all;
    for (const std::vector<std::size_t>& own : serials) {
        CHECK(std::is_sorted(own.begin(), own.end()));   // one thread's inputs stay in the order in which it made them
        all.insert(all.end(), own.begin(), own.end());
    }
    std::sort(all.begin(), all.end());
    CHECK(std::adjacent_find(all.begin(), all.end()) == all.end());
}

TEST_CASE("the inputs of one fit stay side by side, though another thread makes fits too", "[own]") {
    constexpr std::size_t each = 2000;
    std::array<std::vector<Uncertain<double>>, 2> sums;
    std::vector<std::thread> threads;
    for (std::vector<Uncertain<double>>& own : sums) {
        threads.emplace_back([&own] {
            const std::array estimates{1.0, 2.0};
            const std::array covariance{1.0, 0.5, 0.5, 1.0};
            for (std::size_t i = 0; i < each; ++i) {
                const auto block = correlated_block(estimates, covariance, "fit", 4.0);
                own.push_back(block[0] + block[1]);
            }
        });
    }
    for (std::thread& thread : threads) thread.join();
    // Two fits of equal variance and degrees of freedom: those of their difference are the sum (Welch-Satterthwaite).
    bool sums_are_right = true;
    for (std::size_t i = 0; i < each; ++i) {
        const double dof = (sums[0][i] - sums[1][i]).gradient.effective_degrees_of_freedom();
        sums_are_right = sums_are_right && std::abs(dof - 8.0) < 1e-9;
    }
    CHECK(sums_are_right);
}
