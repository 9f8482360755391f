// SPDX-License-Identifier: BSL-1.0
// Residuals and verdicts of fits: published regressions, the whole covariance by Eigen, simulated readings.

#include <array>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include <Eigen/Dense>

#include <filterflow/numeric/coverage.hpp>
#include <filterflow/resistance/element_fit.hpp>

#include "resistance/bench_air.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::sweep_length;

namespace {

ElementReading exact_flow(double q, double dp, double u) {
    return {q * m3_per_s, u > 0 ? uncertain(dp * Pa, u * Pa, "drop") : dp * Pa, air};
}

std::vector<double> numbers_in(const std::string& text) {
    std::vector<double> numbers;
    std::size_t at = 0;
    while (at < text.size()) {
        std::size_t used = 0;
        numbers.push_back(std::stod(text.substr(at), &used));
        at += used + 1;
    }
    return numbers;
}

/// Readings with a flutter of their own, a manometer offset and a flow scale shared by all. `noise` gives standard
/// normal numbers: first the shared two, then two for each reading; drop(q) is the truth.
template <class Truth, class Noise>
std::vector<ElementReading> simulated(const Truth& drop, const std::vector<double>& flows, double flutter,
                                      Noise&& noise) {
    const InputHandle offset = elementary_input("manometer offset", 3.0);
    const InputHandle scale = elementary_input("flow scale", 0.02);
    const double zero = 3.0 * noise(), gain = 0.02 * noise();
    std::vector<ElementReading> readings;
    for (const double q : flows) {
        const double dp = drop(q) + zero + flutter * noise();
        ElementReading reading{uncertain(q * (1.0 + gain + 0.003 * noise()) * m3_per_s, 0.003 * q * m3_per_s, "flow"),
                               uncertain(dp * Pa, flutter * Pa, "flutter"), air};
        reading.flow.gradient.add(Gradient(scale), reading.flow.value.value());
        reading.drop.gradient.add(Gradient(offset), 1.0);
        readings.push_back(reading);
    }
    return readings;
}

double truth(double q) { return 90.0 * q + 45.0 * q * q; }
const std::vector<double> flows{0.2, 0.3, 0.4, 0.55, 0.7, 0.85, 1.0};

}   // namespace

TEST_CASE("the thermometer calibration of the GUM comes out as printed", "[outside]") {
    // JCGM 100:2008, H.3: b = y1 + y2 (t - t0). Read as dp = r Q + s Q^2 with Q = t - t0 and dp = (b + 1) Q, which
    // keeps both coefficients positive; the residual deviation printed there is the readings' uncertainty.
    const test::ReferenceTable table("gum_examples.csv");
    const auto cell = [&](const char* item) {
        for (const test::ReferenceRow& row : table) {
            if (row["example"] == "GUM H.3 thermometer calibration" && row["item"] == item) return row["value"];
        }
        throw std::runtime_error(item);
    };
    const std::vector<double> t = numbers_in(cell("t_k")), b = numbers_in(cell("b_k"));
    const double deviation = std::stod(cell("residual s"));
    REQUIRE(t.size() == 11);
    std::vector<ElementReading> readings;
    for (std::size_t k = 0; k < t.size(); ++k) {
        readings.push_back(exact_flow(t[k] - 20.0, (b[k] + 1.0) * (t[k] - 20.0), deviation * (t[k] - 20.0)));
    }
    const ElementFit fit = fit_element(readings, air);
    CHECK(fit.curve.linear.value() == Approx(1.0 - 0.17120379).epsilon(0).margin(1e-8));
    CHECK(fit.curve.quadratic.value() == Approx(0.00218270).epsilon(0).margin(1e-8));
    CHECK(fit.linear.standard_uncertainty().value() == Approx(0.00287760).epsilon(1e-4));
    CHECK(fit.quadratic.standard_uncertainty().value() == Approx(0.00066794).epsilon(1e-4));
    CHECK(parameter_covariance(fit).correlation == Approx(-0.93043).epsilon(0).margin(1e-5));
    CHECK(fit.chi_squared == Approx(9.0).epsilon(1e-4));   // the uncertainty is the residual deviation itself
    CHECK(fit.degrees_of_freedom == 9);
    CHECK(fit.check.verdict == FitVerdict::fits);
    const Uncertain<Pressure> at_30 = pressure_drop(fit, 10.0 * m3_per_s, air);
    CHECK(at_30.value.value() / 10.0 - 1.0 == Approx(-0.14937681).epsilon(0).margin(1e-8));
    CHECK(at_30.standard_uncertainty().value() / 10.0 == Approx(0.00413860).epsilon(1e-4));
}

TEST_CASE("a certified regression through zero comes out of a fit whose inertial part is held", "[outside]") {
    // NIST Statistical Reference Datasets, NoInt1: y = 130..140 at x = 60..70 (certified digits from memory).
    std::vector<ElementReading> readings;
    for (int i = 0; i <= 10; ++i) readings.push_back(exact_flow(60.0 + i, 130.0 + i, 0.0));
    const ElementFit fit = fit_element(readings, air);
    CHECK(fit.form == ElementFitForm::viscous_only);
    CHECK(fit.curve.linear.value() == Approx(2.07438016528926).epsilon(1e-14));
    CHECK(fit.linear.standard_uncertainty().value() == Approx(0.0165289256198347).epsilon(1e-12));
    CHECK(std::sqrt(fit.chi_squared / static_cast<double>(fit.degrees_of_freedom)) ==
          Approx(3.56753034006338).epsilon(1e-13));
    // Those readings fall off ever more below the line through zero: a bend, although they state no uncertainty.
    CHECK(fit.check.bend < 0.0);
    CHECK(fit.check.verdict == FitVerdict::bends);
    CHECK(fit.lacks_fit);
}

TEST_CASE("chi-squared, leverage and bend agree with the whole covariance by Eigen", "[own]") {
    std::mt19937_64 random(4);
    std::normal_distribution<double> normal;
    for (int trial = 0; trial < 20; ++trial) {
        const auto readings = simulated(truth, flows, 0.8, [&] { return normal(random); });
        const ElementFit fit = fit_element(readings, air);
        REQUIRE(fit.form == ElementFitForm::viscous_and_inertial);
        const auto n = static_cast<Eigen::Index>(readings.size());
        Eigen::MatrixXd x(n, 2), wide(n, 3), covariance = Eigen::MatrixXd::Zero(n, n);
        Eigen::VectorXd y(n), own(n);
        for (Eigen::Index i = 0; i < n; ++i) {
            const ElementReading& r = readings[static_cast<std::size_t>(i)];
            const double q = r.flow.value.value();
            x.row(i) << q, q * q;
            wide.row(i) << q, q * q, -q * std::sqrt(q);
            y(i) = r.drop.value.value();
            const double slope = fit.curve.linear.value() + 2.0 * fit.curve.quadratic.value() * q;
            const double u_flow = r.flow.gradient.terms().back().input->standard_uncertainty;   // its flutter
            own(i) = std::hypot(0.8, slope * u_flow);
            for (Eigen::Index k = 0; k < n; ++k) {
                const double qk = readings[static_cast<std::size_t>(k)].flow.value.value();
                const double slope_k = fit.curve.linear.value() + 2.0 * fit.curve.quadratic.value() * qk;
                covariance(i, k) = 9.0 + 0.02 * 0.02 * slope * q * slope_k * qk + (i == k ? own(i) * own(i) : 0.0);
            }
        }
        const Eigen::MatrixXd weighted = own.cwiseInverse().asDiagonal() * x;
        const Eigen::VectorXd weighted_y = y.cwiseQuotient(own);
        const Eigen::VectorXd p = weighted.colPivHouseholderQr().solve(weighted_y);
        CHECK(fit.curve.linear.value() == Approx(p(0)).epsilon(1e-9));
        CHECK(fit.curve.quadratic.value() == Approx(p(1)).epsilon(1e-9));
        const Eigen::MatrixXd hat = weighted * (weighted.transpose() * weighted).inverse() * weighted.transpose();
        for (Eigen::Index i = 0; i < n; ++i) {
            const FitResidual& point = fit.residual_points[static_cast<std::size_t>(i)];
            CHECK(point.leverage == Approx(hat(i, i)).epsilon(1e-9));
            CHECK(point.standard_uncertainty / Pa == Approx(own(i)).epsilon(1e-6));
            CHECK(point.fitted / Pa == Approx((x * p)(i)).epsilon(1e-9));
            CHECK(point.standardised == Approx((y - x * p)(i) / (own(i) * std::sqrt(1.0 - hat(i, i)))).epsilon(1e-5));
        }
        // Generalised least squares with the whole covariance: its least chi-squared, and the third parameter.
        const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
        const auto whiten = [&](const Eigen::MatrixXd& rows) { return Eigen::MatrixXd(factor.matrixL().solve(rows)); };
        const Eigen::VectorXd white_y = whiten(y);
        const Eigen::MatrixXd white_x = whiten(x), white_wide = whiten(wide);
        const double least = (white_y - white_x * white_x.colPivHouseholderQr().solve(white_y)).squaredNorm();
        CHECK(fit.chi_squared == Approx(least).epsilon(1e-5));
        const Eigen::VectorXd three = white_wide.colPivHouseholderQr().solve(white_y);
        const Eigen::MatrixXd three_covariance = (white_wide.transpose() * white_wide).inverse();
        CHECK(fit.check.bend == Approx(three(2) / std::sqrt(three_covariance(2, 2))).epsilon(1e-5).margin(1e-6));
    }
}

TEST_CASE("sound readings give probabilities that are uniform, whatever they share", "[own]") {
    std::mt19937_64 random(91);
    std::normal_distribution<double> normal;
    const int trials = static_cast<int>(sweep_length(4000));
    std::array<int, 10> scatter_bins{}, bend_bins{};
    int alarms = 0, covered = 0;
    for (int trial = 0; trial < trials; ++trial) {
        const ElementFit fit = fit_element(simulated(truth, flows, 0.8, [&] { return normal(random); }), air);
        const auto bin = [](double p) { return std::min<std::size_t>(static_cast<std::size_t>(p * 10.0), 9); };
        ++scatter_bins[bin(fit.check.probability)];
        ++bend_bins[bin(fit.check.bend_probability)];
        alarms += fit.lacks_fit ? 1 : 0;
        const Interval<Pressure> interval = coverage_interval(pressure_drop(fit, 0.6 * m3_per_s, air));
        covered += interval.contains(truth(0.6) * Pa) ? 1 : 0;
    }
    const auto uniformity = [&](const std::array<int, 10>& bins) {
        double sum = 0.0;
        for (const int count : bins) sum += std::pow(count - trials / 10.0, 2) / (trials / 10.0);
        return chi_squared_exceedance(sum, 9);
    };
    CHECK(uniformity(scatter_bins) > 0.001);
    CHECK(uniformity(bend_bins) > 0.001);
    CHECK(alarms <= 0.01 * trials + 4.0 * std::sqrt(0.01 * trials));
    CHECK(alarms > 0);
    CHECK(covered / double(trials) > 0.93);   // 95 % with an uncertainty of 0.35 %; scatter beyond the stated widens
    CHECK(covered / double(trials) < 0.98);
}

TEST_CASE("intervals of readings without stated uncertainty cover the truth, too", "[own]") {
    // Five readings: three degrees of freedom, so that Student's t decides.
    std::mt19937_64 random(17);
    std::normal_distribution<double> normal;
    const int trials = static_cast<int>(sweep_length(4000));
    int covered = 0;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<ElementReading> readings;
        for (const double q : {0.2, 0.4, 0.6, 0.8, 1.0}) {
            readings.push_back(exact_flow(q, truth(q) + normal(random), 0.0));
        }
        const ElementFit fit = fit_element(readings, air);
        covered += coverage_interval(pressure_drop(fit, 0.5 * m3_per_s, air)).contains(truth(0.5) * Pa) ? 1 : 0;
    }
    CHECK(covered / double(trials) == Approx(0.95).margin(0.015));
}

TEST_CASE("a stated offset is no lack of fit, an unstated one is a bend", "[own]") {
    const auto with_offset = [&](double offset, double stated) {
        const InputHandle manometer = elementary_input("manometer offset", 4.0);
        std::vector<ElementReading> readings;
        int sign = 1;
        for (const double q : flows) {
            ElementReading r = exact_flow(q, truth(q) + offset + 0.25 * sign, 0.4);
            if (stated > 0) r.drop.gradient.add(Gradient(manometer), stated);
            readings.push_back(r);
            sign = -sign;
        }
        return fit_element(readings, air);
    };
    const ElementFit unstated = with_offset(6.0, 0.0);
    CHECK(unstated.check.verdict == FitVerdict::bends);
    CHECK(unstated.check.bend > 3.0);   // an offset upward: high at both ends, low in the middle
    CHECK(unstated.lacks_fit);
    CHECK(description(unstated.check.verdict).find("bend") != std::string_view::npos);
    const ElementFit stated = with_offset(6.0, 1.0);
    CHECK_FALSE(stated.lacks_fit);
    CHECK(with_offset(-6.0, 0.0).check.bend < -3.0);
    CHECK(with_offset(0.0, 0.0).check.verdict == FitVerdict::fits);
}

TEST_CASE("each verdict is reached", "[own]") {
    const auto fit = [&](const std::vector<double>& shifts, double u) {
        std::vector<ElementReading> readings;
        for (std::size_t i = 0; i < shifts.size(); ++i) {
            const double q = 0.2 + 0.8 * static_cast<double>(i) / static_cast<double>(shifts.size() - 1);
            readings.push_back(exact_flow(q, truth(q) + shifts[i], u));
        }
        return fit_element(readings, air);
    };
    CHECK(fit({0.1, -0.1}, 1.0).check.verdict == FitVerdict::not_told);
    CHECK(fit({0.7, -0.9, 0.4, 0.8, -0.6, 0.3}, 0.8).check.verdict == FitVerdict::fits);
    CHECK(fit({0.7, -0.9, 0.4, 0.8, -0.6, 0.3}, 20.0).check.verdict == FitVerdict::closer_than_stated);
    CHECK_FALSE(fit({0.7, -0.9, 0.4, 0.8, -0.6, 0.3}, 20.0).lacks_fit);
    CHECK(fit({4, -4, 4, -4, 4, -4, 4, -4}, 1.0).check.verdict == FitVerdict::scatters);
    CHECK(fit({0, -2, -4, -5, -5, -4, -2, 0}, 0.5).check.verdict == FitVerdict::bends);
    CHECK(fit({12.5, 11.5, 12.5, 11.5, 12.5, 11.5, 12.5, 11.5}, 0.3).check.verdict == FitVerdict::scatters_and_bends);
    CHECK(fit({5, -5, 5}, 1.0).check.verdict == FitVerdict::scatters_or_bends);
    // Without a stated uncertainty only a bend shows.
    CHECK(fit({4, -4, 4, -4, 4, -4, 4, -4}, 0.0).check.verdict == FitVerdict::not_told);
    CHECK(fit({0, -2, -4, -5, -5, -4, -2, 0}, 0.0).check.verdict == FitVerdict::bends);
    CHECK(fit({5, -5, 5}, 0.0).check.verdict == FitVerdict::not_told);
    for (const FitVerdict verdict :
         {FitVerdict::not_told, FitVerdict::fits, FitVerdict::closer_than_stated, FitVerdict::scatters,
          FitVerdict::bends, FitVerdict::scatters_and_bends, FitVerdict::scatters_or_bends}) {
        CHECK(description(verdict).substr(0, 12) == "the readings");
    }
}

TEST_CASE("where a part is held, the bend tells how far beyond its bound the readings draw it", "[own]") {
    std::vector<ElementReading> readings;
    for (const double q : {0.3, 0.5, 0.8, 1.0}) readings.push_back(exact_flow(q, 90.0 * q - 12.0 * q * q, 0.5));
    const ElementFit fit = fit_element(readings, air);
    REQUIRE(fit.form == ElementFitForm::viscous_only);
    std::vector<std::array<double, 2>> design;
    std::vector<double> y, w;
    for (const ElementReading& r : readings) {
        const double q = r.flow.value.value();
        design.push_back({q, q * q});
        y.push_back(r.drop.value.value());
        w.push_back(4.0);
    }
    const auto free = least_squares<2>(design, y, w);
    CHECK(fit.check.bend == Approx(free.parameters[1] / std::sqrt(free.covariance[3])).epsilon(1e-9));
    CHECK(fit.check.verdict == FitVerdict::bends);
}

TEST_CASE("no finite reading gives a fit that is not finite", "[own]") {
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> decades(-40.0, 40.0), unit(0.0, 1.0);
    std::size_t fitted = 0;
    const std::size_t trials = sweep_length(20000);
    for (std::size_t trial = 0; trial < trials; ++trial) {
        const std::size_t n = 1 + trial % 6;
        const double flow_scale = decades(random), drop_scale = decades(random);
        const InputHandle offset = elementary_input("offset", std::pow(10.0, decades(random)));
        std::vector<ElementReading> readings;
        for (std::size_t i = 0; i < n; ++i) {
            const double spread = trial % 3 == 0 ? 30.0 : 1.0;
            const double q = std::pow(10.0, flow_scale + spread * unit(random));
            const double dp = std::pow(10.0, drop_scale + spread * unit(random)) * (unit(random) < 0.1 ? -1 : 1);
            ElementReading r =
                exact_flow(q, dp, trial % 4 == 0 ? 0.0 : std::pow(10.0, drop_scale - 3.0 * unit(random)));
            if (trial % 5 == 0) r.drop.gradient.add(Gradient(offset), 1.0);
            readings.push_back(r);
        }
        try {
            const bool with_share = n % 2 == 1 && trial % 7 == 0;
            const ElementFit fit = with_share ? fit_element(readings, air, uncertain(0.3, 0.1, "share"))
                                              : fit_element(readings, air);
            ++fitted;
            bool finite = std::isfinite(fit.curve.linear.value()) && std::isfinite(fit.curve.quadratic.value()) &&
                          std::isfinite(fit.linear.gradient.variance()) &&
                          std::isfinite(fit.quadratic.gradient.variance()) && std::isfinite(fit.chi_squared) &&
                          std::isfinite(fit.check.probability) && std::isfinite(fit.check.bend) &&
                          std::isfinite(fit.check.bend_probability) &&
                          std::isfinite(parameter_covariance(fit).correlation);
            for (const FitResidual& point : fit.residual_points) {
                finite = finite && std::isfinite(point.standardised) && std::isfinite(point.leverage) &&
                         std::isfinite(point.fitted.value()) && std::isfinite(point.standard_uncertainty.value());
            }
            if (!finite) {
                for (const ElementReading& r : readings) {
                    UNSCOPED_INFO(r.flow.value.value() << " " << r.drop.value.value());
                }
            }
            REQUIRE(finite);
        } catch (const DomainError&) {
            // refused with the reason
        }
    }
    CHECK(fitted > trials / 4);
}
