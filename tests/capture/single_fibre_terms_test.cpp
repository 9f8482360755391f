// SPDX-License-Identifier: BSL-1.0
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <random>
#include <string>

#include <boost/math/quadrature/tanh_sinh.hpp>

#include <filterflow/capture/single_fibre_diffusion.hpp>
#include <filterflow/capture/single_fibre_inertia.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;

TEST_CASE("the coefficient of diffusion through a thin boundary layer, as published, from memory", "[own]") {
    // 2.9: Natanson 1957, Stechkina and Fuchs 1966 (from memory), on ((1 - a)/Ku)^(1/3) Pe^(-2/3).
    const FibreGroups g{0.05, 1000, 0.1, 0};
    const double scale = std::cbrt((1 - 0.05) / 0.797241) * 0.01;   // Ku of 0.05 by hand
    CHECK(boundary_layer_diffusion(g) / scale == Approx(2.9).epsilon(3e-3));
}

TEST_CASE("terms as a second coding of their formulas has them", "[own]") {
    // tests/reference/single_fibre_terms.csv, made by make_single_fibre_terms_table.py beside it.
    using Term = double (*)(const FibreGroups&);
    const std::map<std::string, Term> terms{{"lee_liu_diffusion", lee_liu_diffusion},
                                            {"boundary_layer_diffusion", boundary_layer_diffusion},
                                            {"stechkina_fuchs_diffusion", stechkina_fuchs_diffusion},
                                            {"fan_model_diffusion", fan_model_diffusion},
                                            {"hinds_diffusion", hinds_diffusion},
                                            {"kanaoka_diffusion", kanaoka_diffusion},
                                            {"diffusion_interception", diffusion_interception},
                                            {"diffusion_slip_factor", diffusion_slip_factor},
                                            {"streamline_interception", streamline_interception},
                                            {"lee_liu_interception", lee_liu_interception},
                                            {"interception_slip_factor", interception_slip_factor},
                                            {"stechkina_impaction", stechkina_impaction},
                                            {"landahl_herrmann_impaction", landahl_herrmann_impaction},
                                            {"gravity_downward", gravity_downward}};
    const filterflow::test::ReferenceTable table("single_fibre_terms.csv");
    REQUIRE(table.size() == 12 * terms.size());
    for (const auto& row : table) {
        INFO(row["term"] << ' ' << row["solidity"] << ' ' << row["Pe"]);
        const FibreGroups g{row.number("solidity"), row.number("Pe"), row.number("R"), row.number("Stk"),
                            row.number("Kn_f"), row.number("G")};
        CHECK(terms.at(row["term"])(g) == Approx(row.number("value")).epsilon(1e-9));
    }
}

TEST_CASE("Landahl and Herrmann's Stokes number is on the fibre's diameter", "[own]") {
    // No flow brings more small particles to a cylinder than that without friction. Trajectories in it, u = 1 - (x^2 -
    // y^2)/r^4, v = -2 x y/r^4 (lengths over the radius), lie above the formula with tau U/d_f, and would lie below it
    // with the radius in place of the diameter.
    const auto touches = [](double inertia, double entry) {   // inertia: tau U over the radius
        using State = std::array<double, 4>;
        const auto air = [](double x, double y) {
            const double r4 = (x * x + y * y) * (x * x + y * y);
            return std::array{1 - (x * x - y * y) / r4, -2 * x * y / r4};
        };
        const auto slope = [&](const State& s) {
            const auto v = air(s[0], s[1]);
            return State{s[2], s[3], (v[0] - s[2]) / inertia, (v[1] - s[3]) / inertia};
        };
        const auto moved = [](const State& s, const State& k, double h) {
            return State{s[0] + h * k[0], s[1] + h * k[1], s[2] + h * k[2], s[3] + h * k[3]};
        };
        const auto first = air(-30, entry);
        State s{-30, entry, first[0], first[1]};
        while (s[0] < 0) {
            const double r = std::hypot(s[0], s[1]);
            if (r <= 1) return true;
            const double h = std::min(0.03 * std::max(r - 1, 0.003) / std::hypot(s[2], s[3]), 0.5 * inertia);
            const State k1 = slope(s), k2 = slope(moved(s, k1, h / 2)), k3 = slope(moved(s, k2, h / 2)),
                        k4 = slope(moved(s, k3, h));
            for (std::size_t i = 0; i < 4; ++i) s[i] += h / 6 * (k1[i] + 2 * k2[i] + 2 * k3[i] + k4[i]);
        }
        return false;
    };
    for (const double inertia : {0.5, 1.0, 2.0, 4.0, 8.0}) {
        double low = 0, high = 1.2;
        while (high - low > 1e-3) {
            const double middle = 0.5 * (low + high);
            (touches(inertia, middle) ? low : high) = middle;
        }
        INFO("tau U over the radius " << inertia);
        CHECK(landahl_herrmann_impaction({0.05, 100, 0.1, inertia / 2}) < low);
        CHECK(landahl_herrmann_impaction({0.05, 100, 0.1, inertia}) > low * 1.05);
    }
}

TEST_CASE("the coefficient of the boundary layer derived again", "[own]") {
    // The stream function near the fibre is U a (1 - a_s)/Ku (y/a)^2 sin theta. In von Mises' variables the
    // concentration depends on y/t^(1/3) alone, t the integral of sin^(1/2); what is left is this integral and
    // Gamma(4/3).
    boost::math::quadrature::tanh_sinh<double> rule;
    const double sines =
        rule.integrate([](double x) { return std::sqrt(std::sin(x)); }, 0.0, std::numbers::pi);
    const double coefficient = 0.75 * std::pow(2 * sines, 2.0 / 3) * std::pow(2.0, 2.0 / 3) /
                               (std::cbrt(9.0 / 4) * std::tgamma(4.0 / 3));
    CHECK(coefficient == Approx(2.892).epsilon(2e-4));
    // The same slope by differences of the exact stream function: interception at R -> 0 is (1 - a)/Ku R^2.
    for (const double a : {0.01, 0.05, 0.2}) {
        CHECK(streamline_interception({a, 100, 1e-4, 0}) / 1e-8 == Approx((1 - a) / kuwabara_factor(a)).epsilon(1e-3));
    }
}

TEST_CASE("interception is the streamline one particle radius off the fibre", "[own]") {
    // tests/reference/particle_capture_checks.csv, interception: exact numbers from the stream function.
    CHECK(streamline_interception({0.05, 100, 0.1, 0}) == Approx(0.0111453).epsilon(1e-5));
    CHECK(streamline_interception({0.1, 100, 0.5, 0}) == Approx(0.331780).epsilon(1e-5));
    // Second method: the flow across the line from the fibre to that streamline, by quadrature of the velocity beside
    // the fibre, u = -d psi/dr at right angles to the flow.
    boost::math::quadrature::tanh_sinh<double> rule;
    for (const double a : {0.01, 0.08, 0.2}) {
        for (const double r : {0.02, 0.3, 1.0}) {
            const double ku = kuwabara_factor(a);
            const auto velocity = [&](double rho) {
                return (2 * std::log(rho) + 1 + a - (1 - a / 2) / (rho * rho) - 1.5 * a * rho * rho) / (2 * ku);
            };
            CHECK(streamline_interception({a, 100, r, 0}) ==
                  Approx(rule.integrate(velocity, 1.0, 1.0 + r)).epsilon(1e-9));
        }
    }
    // A particle as wide as the cell touches all that passes; a wider one no less.
    const double rim = 1 / std::sqrt(0.05) - 1;
    CHECK(streamline_interception({0.05, 100, rim, 0}) == Approx(1 + rim).epsilon(1e-12));
    CHECK(streamline_interception({0.05, 100, 2 * rim, 0}) == Approx(1 + 2 * rim).epsilon(1e-12));
}

TEST_CASE("slip on the fibre lets streamlines closer by 1.996 Kn/R", "[own]") {
    // Second method: the stream function r sin theta (A + B/r^2 + C ln r + D r^2) in the cell of Kuwabara with
    // Maxwell's slip at the fibre, u_t = 0.998 Kn r d(u_t/r)/dr, no flow through it, and at the rim no vorticity and
    // the whole flow. The ratio of both streamlines one particle radius off the fibre, first order in Kn and R. A
    // constant of 1.9996, which is read, too, would be 0.2 % off.
    const auto streamline = [](double a, double r, double knudsen) {
        const double slip = 0.998 * knudsen;
        // A + B + D = 0: no flow through the fibre. C = -4 D/a: no vorticity at the rim.
        const auto u = [&](double A, double B, double C, double D, double x) {
            return -(A - B / (x * x) + C * (std::log(x) + 1) + 3 * D * x * x);
        };
        const auto residual = [&](double B, double D) {
            const double A = -B - D, C = -4 * D / a;
            const double h = 1e-4;
            const double shear = (u(A, B, C, D, 1 + h) / (1 + h) - u(A, B, C, D, 1 - h) / (1 - h)) / (2 * h);
            return u(A, B, C, D, 1.0) - slip * shear;
        };
        // Linear in B and D: D = 1 fixes B; the flow through the rim scales.
        const double B = -residual(0, 1) / (residual(1, 1) - residual(0, 1));
        const double A = -B - 1, C = -4 / a;
        const auto psi = [&](double x) { return x * (A + B / (x * x) + C * std::log(x) + x * x); };
        const double rim = 1 / std::sqrt(a);
        return psi(1 + r) / (psi(rim) / rim);
    };
    const double a = 0.05;
    CHECK(streamline(a, 0.1, 0.0) == Approx(streamline_interception({a, 100, 0.1, 0})).epsilon(1e-6));
    const double r = 1e-4, knudsen = 1e-6;
    const double ratio = streamline(a, r, knudsen) / streamline(a, r, 0.0);
    CHECK((ratio - 1) * r / knudsen == Approx(1.996).epsilon(5e-4));
    CHECK((interception_slip_factor({a, 100, r, 0, knudsen}) - 1) * r / knudsen == Approx(1.996).epsilon(1e-9));
}

TEST_CASE("terms at their limits", "[own]") {
    CHECK(diffusion_slip_factor({0.05, 500, 0.1, 0}) == 1.0);
    CHECK(interception_slip_factor({0.05, 500, 0.1, 0}) == 1.0);
    CHECK(landahl_herrmann_impaction({0.05, 500, 0.1, 1e-3}) == Approx(1e-9 / 0.22).epsilon(1e-2));
    CHECK(landahl_herrmann_impaction({0.05, 500, 0.1, 0}) == 0.0);
    CHECK(landahl_herrmann_impaction({0.05, 500, 0.1, 1e200}) == 1.0);
    CHECK(gravity_downward({0.05, 500, 0.1, 0.3}) == 0.0);
    CHECK(stechkina_impaction({0.05, 500, 0.5, 100}) == 1.0);
    // Particles of small size diffuse to all of a fibre, those of none are intercepted nowhere.
    CHECK(diffusion_interception({0.05, 500, 1e-12, 0}) < 1e-6);
    CHECK(lee_liu_interception({0.05, 500, 1e-12, 0}) < 1e-20);
}

TEST_CASE("the classic formula of impaction steps where its two branches meet", "[own]") {
    // J from both sides of R = 0.4 by hand: ((29.6 - 28 a^0.62) 0.16 - 27.5 0.4^2.8) is 2.488 at a = 0.0035, 1.923 at
    // 0.05 and 1.240 at 0.15; beyond it is 2.
    for (const auto& [solidity, below] : {std::pair{0.0035, 2.4875}, {0.05, 1.9228}, {0.15, 1.2402}}) {
        const double before = stechkina_impaction({solidity, 500, 0.4 * (1 - 1e-12), 0.01});
        const double behind = stechkina_impaction({solidity, 500, 0.4, 0.01});
        CHECK(behind / before == Approx(2 / below).epsilon(1e-4));
    }
}

TEST_CASE("terms on random groups are finite and not negative", "[own]") {
    std::mt19937_64 random(17);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t i = 0; i < test::sweep_length(20000); ++i) {
        const FibreGroups g{0.25 * (1 - unit(random)), std::pow(10, -3 + 12 * unit(random)),
                            std::pow(10, -6 + 9 * unit(random)), std::pow(10, -9 + 15 * unit(random)),
                            unit(random), unit(random), unit(random)};
        for (const double e : {lee_liu_diffusion(g), boundary_layer_diffusion(g), stechkina_fuchs_diffusion(g),
                               fan_model_diffusion(g), hinds_diffusion(g), kanaoka_diffusion(g),
                               diffusion_interception(g),
                               streamline_interception(g), lee_liu_interception(g), stechkina_impaction(g),
                               landahl_herrmann_impaction(g), gravity_downward(g)}) {
            CHECK((std::isfinite(e) && e > -1e-13));
        }
        CHECK(streamline_interception(g) <= (1 + g.interception_parameter) * (1 + 1e-12));
        CHECK(stechkina_impaction(g) <= 1.0);
        CHECK(landahl_herrmann_impaction(g) <= 1.0);
    }
}

TEST_CASE("derivatives of the terms", "[own]") {
    using D = Dual<3>;
    const double a = 0.06, pe = 700, r = 0.15;
    const BasicFibreGroups<D> g{D::input(a, 0), D::input(pe, 1), D::input(r, 2), D(0.2), D(0.03), D(0.001), D(0.1)};
    const auto plain = [&](auto term, double fa, double fp, double fr) {
        return term(FibreGroups{a * fa, pe * fp, r * fr, 0.2, 0.03, 0.001, 0.1});
    };
    const auto compare = [&](const D& dual, auto term) {
        const double h = 1e-5;
        CHECK(dual.derivative[0] * a ==
              Approx((plain(term, 1 + h, 1, 1) - plain(term, 1 - h, 1, 1)) / (2 * h)).epsilon(1e-6).margin(1e-12));
        CHECK(dual.derivative[1] * pe ==
              Approx((plain(term, 1, 1 + h, 1) - plain(term, 1, 1 - h, 1)) / (2 * h)).epsilon(1e-6).margin(1e-12));
        CHECK(dual.derivative[2] * r ==
              Approx((plain(term, 1, 1, 1 + h) - plain(term, 1, 1, 1 - h)) / (2 * h)).epsilon(1e-6).margin(1e-12));
    };
    compare(lee_liu_diffusion(g), [](const FibreGroups& x) { return lee_liu_diffusion(x); });
    compare(stechkina_fuchs_diffusion(g), [](const FibreGroups& x) { return stechkina_fuchs_diffusion(x); });
    compare(diffusion_interception(g), [](const FibreGroups& x) { return diffusion_interception(x); });
    compare(diffusion_slip_factor(g), [](const FibreGroups& x) { return diffusion_slip_factor(x); });
    compare(streamline_interception(g), [](const FibreGroups& x) { return streamline_interception(x); });
    compare(lee_liu_interception(g), [](const FibreGroups& x) { return lee_liu_interception(x); });
    compare(stechkina_impaction(g), [](const FibreGroups& x) { return stechkina_impaction(x); });
}

TEST_CASE("groups that are none are refused", "[own]") {
    CHECK_THROWS_WITH(lee_liu_diffusion({0.05, -1, 0.1, 0}), Contains("peclet = -1"));
    CHECK_THROWS_WITH(lee_liu_diffusion({0.4, 1, 0.1, 0}), Contains("solidity = 0.4"));
    CHECK_THROWS_AS(stechkina_impaction({0.05, 1, std::nan(""), 0}), DomainError);
    CHECK_THROWS_WITH(gravity_downward({0.05, 1, 0.1, 0, 0, -0.1}), Contains("gravity = -0.1"));
    CHECK_THROWS_WITH(hinds_diffusion({0.05, 1e-300, 0.1, 0}), Contains("result"));
}
