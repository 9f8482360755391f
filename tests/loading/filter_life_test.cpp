// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <boost/numeric/odeint.hpp>

#include <filterflow/loading/filter_life.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

const AirState standard = duct_design_air();

/// An invented fan at fixed speed: falls from 520 Pa to 60 Pa over 0.3 to 1.9 m3/s.
FanTable fan_rows() {
    FanTable table;
    const double rows[][3] = {{0.3, 520, 610}, {0.6, 505, 690}, {0.9, 470, 780},
                              {1.2, 390, 850}, {1.5, 260, 880}, {1.9, 60, 860}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = standard;
    return table;
}

/// An invented fan that holds 1.0 m3/s up to 500 Pa.
FlowHoldingFan holding_fan() {
    FanTable table;
    const double rows[][3] = {{1.0, 100, 250}, {1.0, 300, 560}, {1.0, 500, 900}, {0.7, 650, 980}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = standard;
    return flow_holding_fan(table);
}

/// Everything a life depends on, as plain numbers: so that it can be made of doubles and of dual numbers.
enum Parameter {
    p_linear,
    p_quadratic,
    p_growth,
    p_transition,
    p_slope,
    p_area,
    p_efficiency,
    p_gain,
    p_gain_scale,
    p_gap,
    p_concentration,
    p_equivalence,
    p_fan_pressure,
    p_fan_power,
    p_duct_pressure,
    p_final_drop,
    p_running,
    parameter_count
};
using Values = std::array<double, parameter_count>;
const Values usual{55, 18, 0.045, 0.06, 60, 2.2, 0.7, 0.15, 0.05, 0, 8e-8, 0.8, 1, 1, 150, 220, 0.4};

template <class T>
BasicFilterLifeInput<T> input_of(const std::array<T, parameter_count>& v, LoadingForm form, const Fan& fan) {
    BasicFilterStage<T> stage;
    stage.clean = {BasicLinearResistance<T>::from_value(v[p_linear]),
                   BasicQuadraticResistance<T>::from_value(v[p_quadratic]), standard};
    stage.law = {form, ReferenceArea::media, BasicMassPerArea<T>::from_value(v[p_growth]),
                 BasicMassPerArea<T>::from_value(v[p_transition]), BasicAreaPerMass<T>::from_value(v[p_slope])};
    stage.area = BasicArea<T>::from_value(v[p_area]);
    stage.efficiency = {v[p_efficiency], v[p_gain], BasicMassPerArea<T>::from_value(v[p_gain_scale])};
    stage.gap_area = BasicArea<T>::from_value(v[p_gap]);
    stage.final_resistance = BasicPressure<T>::from_value(v[p_final_drop]);
    BasicFilterLifeInput<T> input{.fan = fan};
    input.fan_scale = {v[p_fan_pressure], v[p_fan_power]};
    input.ducts.power_laws.push_back(
        {BasicPressure<T>::from_value(v[p_duct_pressure]), BasicVolumeFlow<T>::from_value(T(1.0)), T(1.9), standard});
    input.stages = {stage};
    input.dust = {BasicMassConcentration<T>::from_value(v[p_concentration]), v[p_equivalence]};
    input.running_fraction = v[p_running];
    input.air = air_as<T>(standard);
    input.horizon = BasicTime<T>::from_value(T(40.0 * 8760 * 3600));
    return input;
}

FilterLifeInput usual_input(LoadingForm form = LoadingForm::smooth, const Values& v = usual) {
    return input_of<double>(v, form, fan_curve(fan_rows()));
}

/// Flow where the fan meets ducts and a filter of given mass, by a library's root finder.
double flow_by_toms748(const FilterLifeInput& input, const std::vector<double>& masses) {
    const auto& fan = std::get<FanCurve>(input.fan);
    const auto excess = [&](double q) {
        double sum =
            fan_pressure(fan, q * m3_per_s, standard) / Pa - pressure_drop(input.ducts, q * m3_per_s, standard) / Pa;
        for (std::size_t k = 0; k < masses.size(); ++k) {
            const auto& stage = input.stages[k];
            const MassPerArea w = MassPerArea::from_value(input.dust.equivalence * masses[k] / stage.area.value());
            sum -= pressure_drop(BypassedElement{loaded_curve(stage.clean, stage.law, w), stage.gap_area,
                                                 stage.discharge_coefficient},
                                 q * m3_per_s, standard) /
                   Pa;
        }
        return sum;
    };
    std::uintmax_t count = 200;
    const auto bracket =
        boost::math::tools::toms748_solve(excess, 0.3, 1.9, boost::math::tools::eps_tolerance<double>(52), count);
    return 0.5 * (bracket.first + bracket.second);
}

/// Rates of dust on each stage per dose, written afresh from the mass balance.
std::vector<double> rates_by_hand(const FilterLifeInput& input, const std::vector<double>& masses) {
    const double q = flow_by_toms748(input, masses);
    std::vector<double> rates;
    double reaching = q;
    for (std::size_t k = 0; k < masses.size(); ++k) {
        const auto& stage = input.stages[k];
        const MassPerArea w = MassPerArea::from_value(input.dust.equivalence * masses[k] / stage.area.value());
        const auto split = flow_split(
            BypassedElement{loaded_curve(stage.clean, stage.law, w), stage.gap_area, stage.discharge_coefficient},
            q * m3_per_s, standard);
        const double caught =
            reaching * (split.through_element / m3_per_s) / q * mass_efficiency_at(stage.efficiency, w);
        rates.push_back(caught);
        reaching -= caught;
    }
    return rates;
}

}   // namespace

TEST_CASE("flows under dust are operating points, where the fan rises first and in other air too", "[own][loading]") {
    // Each solution begins at the one before; here each moment is solved anew over the whole table.
    FanTable humped = fan_rows();
    humped.points.front().pressure = 440 * Pa;
    for (const FanTable& table : {fan_rows(), humped}) {
        FilterLifeInput input = usual_input();
        input.fan = fan_curve(table);
        input.air = moist_air({.temperature = from_celsius(31), .pressure = 84 * kPa, .relative_humidity = 0.3});
        const FilterLife life = filter_life(input);
        REQUIRE(life.moments.size() > 10);
        const FilterStage& stage = input.stages[0];
        for (const LifeMoment& moment : life.moments) {
            SystemCurve system = input.ducts;
            const MassPerArea load = input.dust.equivalence * moment.retained[0] / stage.area;
            system.elements.push_back(loaded_curve(stage.clean, stage.law, load));
            const OperatingFlow expected = operating_flow(std::get<FanCurve>(input.fan), system, input.air);
            REQUIRE(expected.flow);
            CHECK(moment.flow / *expected.flow == Approx(1.0).epsilon(1e-11));
        }
    }
}

TEST_CASE("one stage agrees with quadrature over solved operating points", "[own][loading]") {
    for (const LoadingForm form : {LoadingForm::smooth, LoadingForm::kinked, LoadingForm::exponential}) {
        for (const double gap : {0.0, 0.004}) {
            Values v = usual;
            v[p_gap] = gap;
            const FilterLifeInput input = usual_input(form, v);
            const FilterLife life = filter_life(input);
            REQUIRE(life.end == LifeEnd::final_resistance);
            const LifeMoment& last = life.moments.back();
            CHECK(last.stage_drops[0] / Pa == Approx(220.0).epsilon(1e-10));
            // theta = integral dm / (Q E), in pieces, since the fan's cubics and a kink are only piecewise smooth.
            const double end = last.retained[0].value();
            double dose = 0.0;
            const auto inverse_rate = [&](double mass) { return 1.0 / rates_by_hand(input, {mass})[0]; };
            const double kink = 0.06 * 2.2 / 0.8;
            std::vector<double> cuts;
            for (int i = 0; i <= 16; ++i) cuts.push_back(end * i / 16.0);
            if (kink < end) {
                cuts.push_back(kink);
                std::sort(cuts.begin(), cuts.end());
            }
            for (std::size_t i = 1; i < cuts.size(); ++i) {
                dose += boost::math::quadrature::gauss_kronrod<double, 15>::integrate(inverse_rate, cuts[i - 1],
                                                                                      cuts[i], 3, 1e-12);
            }
            CHECK(last.dose.value() == Approx(dose).epsilon(1e-10));
        }
    }
}

TEST_CASE("two stages agree with a library integrator", "[own][loading]") {
    FilterLifeInput input = usual_input();
    FilterStage second = input.stages[0];
    second.clean = {90 * Pa_s_per_m3, 10 * Pa_s2_per_m6, standard};
    second.efficiency = {0.9, 0.05, 20 * g_per_m2};
    second.area = 6 * m2;
    second.gap_area = 0.002 * m2;
    second.final_resistance = 400 * Pa;
    input.stages.push_back(second);
    input.stages[0].efficiency = {0.4, 0.2, 50 * g_per_m2};
    const FilterLife life = filter_life(input);
    REQUIRE(life.end == LifeEnd::final_resistance);
    using State = std::vector<double>;
    State dust{0.0, 0.0};
    const auto system = [&](const State& x, State& dx, double) { dx = rates_by_hand(input, x); };
    namespace ode = boost::numeric::odeint;
    const double end = life.moments.back().dose.value();
    ode::integrate_adaptive(ode::make_controlled(1e-13, 1e-12, ode::runge_kutta_cash_karp54<State>()), system, dust,
                            0.0, end, end / 500);
    CHECK(life.moments.back().retained[0].value() == Approx(dust[0]).epsilon(1e-8));
    CHECK(life.moments.back().retained[1].value() == Approx(dust[1]).epsilon(1e-8));
    CHECK(life.moments.back().stage_drops[life.stage] / Pa == Approx(life.stage == 0 ? 220.0 : 400.0).epsilon(1e-10));
}

TEST_CASE("an integrator whose tolerance falls to 1e-12 converges to the life in dose", "[own][loading]") {
    namespace ode = boost::numeric::odeint;
    using State = std::vector<double>;
    FilterLifeInput two = usual_input();
    two.stages.push_back(two.stages[0]);
    two.stages[0].efficiency = {0.4, 0.2, 50 * g_per_m2};
    for (const FilterLifeInput& input : {usual_input(), two}) {   // by inverse quadrature, and by steps
        const FilterLife life = filter_life(input);
        const LifeMoment& last = life.moments.back();
        const double end = last.dose.value();
        const auto first_mass = [&](double tolerance) {
            State dust(input.stages.size(), 0.0);
            const auto system = [&](const State& x, State& dx, double) { dx = rates_by_hand(input, x); };
            ode::integrate_adaptive(
                ode::make_controlled(0.1 * tolerance, tolerance, ode::runge_kutta_cash_karp54<State>()), system, dust,
                0.0, end, end / 4);
            return dust[0];
        };
        const double exact = first_mass(1e-12);
        for (const double tolerance : {1e-3, 1e-5, 1e-7, 1e-9}) {
            const double off = std::abs(first_mass(tolerance) / exact - 1.0);
            INFO(input.stages.size() << " stages, tolerance " << tolerance << ", off " << off);
            CHECK(off < 20.0 * tolerance);   // a tolerance is for one step; fan and growth are smooth in pieces only
        }
        INFO(input.stages.size() << " stages");
        CHECK(last.retained[0].value() == Approx(exact).epsilon(1e-9));
    }
}

TEST_CASE("integrals and means over a life agree with quadrature over its time", "[own][loading]") {
    const FilterLifeInput input = usual_input();
    const FilterLife life = filter_life(input);
    // The same life cut at the nodes of Gauss-Legendre's rule.
    const auto at = [&](double fraction) {
        FilterLifeInput part = input;
        part.horizon = Time::from_value(life.time.value() * fraction);
        return filter_life(part).moments.back();
    };
    const double nodes[5] = {-0.906179845938664, -0.5384693101056831, 0.0, 0.5384693101056831, 0.906179845938664};
    const double weights[5] = {0.2369268850561891, 0.4786286704993665, 0.5688888888888889, 0.4786286704993665,
                               0.2369268850561891};
    double flow = 0.0, power = 0.0, drop = 0.0, product = 0.0;
    const int pieces = 12;
    for (int piece = 0; piece < pieces; ++piece) {
        for (int i = 0; i < 5; ++i) {
            const LifeMoment moment = at((piece + 0.5 + 0.5 * nodes[i]) / pieces);
            const double w = 0.5 * weights[i] / pieces;
            flow += w * moment.flow.value();
            power += w * moment.power->value();
            drop += w * moment.filter_drop.value();
            product += w * moment.flow.value() * moment.filter_drop.value();
        }
    }
    CHECK(life.mean_flow.value() == Approx(flow).epsilon(1e-8));
    CHECK(life.mean_power->value() == Approx(power).epsilon(1e-8));
    CHECK(life.mean_filter_drop.value() == Approx(drop).epsilon(1e-8));
    CHECK(life.moments.back().filter_air_energy.value() == Approx(product * life.time.value()).epsilon(1e-8));
    CHECK(life.dust_arrived.value() ==
          Approx(life.mean_flow.value() * life.time.value() * input.dust.concentration.value()).epsilon(1e-12));
}

TEST_CASE("held flow: the life in closed form", "[own][loading]") {
    FilterLifeInput input = input_of<double>(usual, LoadingForm::smooth, holding_fan());
    input.stages[0].efficiency = {0.7, 0.0, 1 * kg_per_m2};
    const FilterLife life = filter_life(input);
    REQUIRE(life.end == LifeEnd::final_resistance);
    const MassPerArea w = mass_at_final_resistance(input.stages[0].clean, input.stages[0].law,
                                                   {.pressure = 220 * Pa, .flow = 1.0 * m3_per_s}, standard);
    const double time = w.value() * 2.2 / 0.8 / (1.0 * 0.7 * 8e-8);
    CHECK(life.time.value() == Approx(time).epsilon(1e-9));
    CHECK(life.age.value() == Approx(time / 0.4).epsilon(1e-9));
    CHECK(life.mean_flow.value() == Approx(1.0).epsilon(1e-12));
    // Power rises as the filter loads: the drive works harder.
    CHECK(life.moments.back().power->value() > life.moments.front().power->value());
}

TEST_CASE("with a fan at fixed speed flow and power fall as the filter loads", "[own][loading]") {
    const FilterLife life = filter_life(usual_input());
    CHECK(life.moments.back().flow < life.moments.front().flow);
    CHECK(life.moments.back().filter_drop > life.moments.front().filter_drop);
    for (std::size_t i = 1; i < life.moments.size(); ++i) CHECK(life.moments[i].time > life.moments[i - 1].time);
}

TEST_CASE("each limit ends a life where it is met", "[own][loading]") {
    FilterLifeInput input = usual_input();
    const FilterLife free = filter_life(input);
    SECTION("least airflow") {
        const VolumeFlow least =
            VolumeFlow::from_value(0.5 * (free.moments.front().flow.value() + free.moments.back().flow.value()));
        input.limits.least_airflow = least;
        const FilterLife life = filter_life(input);
        CHECK(life.end == LifeEnd::least_airflow);
        CHECK(life.limit_met);
        CHECK(life.moments.back().flow.value() == Approx(least.value()).epsilon(1e-10));
        CHECK(life.time < free.time);
    }
    SECTION("external static pressure") {
        const double p = 0.5 * (free.moments.front().external_static_pressure.value() +
                                free.moments.back().external_static_pressure.value());
        input.limits.greatest_external_static_pressure = Pressure::from_value(p);
        const FilterLife life = filter_life(input);
        CHECK(life.end == LifeEnd::external_static_pressure);
        CHECK(life.moments.back().external_static_pressure.value() == Approx(p).epsilon(1e-10));
    }
    SECTION("age, in calendar time") {
        input.stages[0].greatest_age = 0.25 * free.age;
        const FilterLife life = filter_life(input);
        CHECK(life.end == LifeEnd::age);
        CHECK(life.age.value() == Approx(0.25 * free.age.value()).epsilon(1e-12));
        CHECK(life.time.value() == Approx(0.25 * 0.4 * free.age.value()).epsilon(1e-12));
    }
    SECTION("none within the horizon: no number is invented") {
        input.horizon = 0.5 * free.time;
        const FilterLife life = filter_life(input);
        CHECK(life.end == LifeEnd::horizon);
        CHECK_FALSE(life.limit_met);
        CHECK_THAT(life.reason, Contains("no limit is met"));
        CHECK(life.time.value() == Approx(0.5 * free.time.value()).epsilon(1e-13));
    }
    SECTION("the fan's table ends") {
        input.stages[0].final_resistance = 2000 * Pa;
        const FilterLife life = filter_life(input);
        CHECK(life.end == LifeEnd::fan_table_end);
        CHECK(life.moments.back().flow.value() == Approx(0.3).epsilon(1e-6));
        CHECK(life.limit_met);
    }
    SECTION("the stable point vanishes, whatever limit lies beyond the jump") {
        FanTable dip;
        const double rows[][3] = {{0.2, 420, 500}, {0.5, 130, 600}, {0.9, 330, 800},
                                  {1.2, 290, 900}, {1.5, 150, 950}, {1.7, 20, 900}};
        for (const auto& row : rows) dip.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
        dip.stated_air = standard;
        input.fan = fan_curve(dip);
        input.stages[0].final_resistance = 2000 * Pa;
        const FilterLife life = filter_life(input);
        CHECK(life.end == LifeEnd::operating_point_lost);
        CHECK(life.limit_met);
        CHECK_FALSE(life.derivatives_known);
        CHECK(life.moments.back().flow > 0.7 * m3_per_s);
        // A hair more dust, and fan and system meet below the dip alone.
        const auto flow_with = [&](double factor) {
            SystemCurve system = input.ducts;
            const FilterStage& stage = input.stages[0];
            const Mass mass = factor * life.moments.back().retained[0];
            system.elements.push_back(
                loaded_curve(stage.clean, stage.law, MassPerArea(input.dust.equivalence * mass / stage.area)));
            return operating_point(input.fan, system, standard).flow();
        };
        CHECK(flow_with(1.0 - 1e-6) > 0.7 * m3_per_s);
        CHECK(flow_with(1.0 + 1e-6) < 0.5 * m3_per_s);
        for (const double least : {0.65, 0.1}) {
            input.limits.least_airflow = least * m3_per_s;
            const FilterLife limited = filter_life(input);
            CHECK(limited.end == LifeEnd::operating_point_lost);
            CHECK(limited.time.value() == Approx(life.time.value()).epsilon(1e-6));
            CHECK(limited.moments.back().flow > 0.7 * m3_per_s);
        }
    }
    SECTION("broken by the clean filter") {
        input.limits.least_airflow = 1.8 * m3_per_s;
        const FilterLife life = filter_life(input);
        CHECK(life.end == LifeEnd::least_airflow);
        CHECK(life.time.value() == 0.0);
        CHECK(life.moments.size() == 1);
        CHECK(life.mean_flow == life.moments.front().flow);
    }
    SECTION("no operating point at all") {
        input.ducts.constant_pressure = 600 * Pa;
        const FilterLife life = filter_life(input);
        CHECK(life.end == LifeEnd::no_operating_point);
        CHECK_FALSE(life.limit_met);
        CHECK(life.moments.empty());
    }
}

TEST_CASE("derivatives of a life agree with central differences", "[own][loading]") {
    constexpr std::size_t n = parameter_count;
    using D = Dual<n>;
    struct Case {
        LoadingForm form;
        bool holds, least, table, aged;
    };
    const Case cases[] = {
        {LoadingForm::smooth, false, false, false, false},     {LoadingForm::kinked, false, false, false, false},
        {LoadingForm::exponential, true, false, false, false}, {LoadingForm::smooth, false, true, false, false},
        {LoadingForm::smooth, false, false, true, false},      {LoadingForm::smooth, false, false, false, true}};
    for (const Case& c : cases) {
        Values at = usual;
        at[p_gap] = 0.003;
        if (c.table) at[p_final_drop] = 3000;
        const Fan fan = c.holds ? Fan(holding_fan()) : Fan(fan_curve(fan_rows()));
        const auto adapt = [&](auto input) {
            using T = std::remove_cvref_t<decltype(input.running_fraction)>;
            if (c.least) input.limits.least_airflow = BasicVolumeFlow<T>::from_value(T(1.0));
            if (c.aged) input.stages[0].greatest_age = BasicTime<T>::from_value(T(1.2e7));
            return input;
        };
        std::array<D, n> seeds;
        for (std::size_t i = 0; i < n; ++i) seeds[i] = D::input(at[i], i);
        const auto dual = filter_life(adapt(input_of<D>(seeds, c.form, fan)));
        REQUIRE(dual.derivatives_known);
        const FilterLife plain = filter_life(adapt(input_of<double>(at, c.form, fan)));
        // By steps in dose here, by inverse quadrature there; steps stop a hair before the fan's table ends.
        CHECK(dual.time.value().value == Approx(plain.time.value()).epsilon(c.table ? 3e-8 : 1e-9));
        CHECK(dual.end == plain.end);
        for (std::size_t i = 0; i < n; ++i) {
            const double step = 4e-4 * at[i];
            std::array<FilterLife, 4> moved;   // at -2, -1, 1, 2 steps
            for (int k = 0; k < 4; ++k) {
                Values v = at;
                v[i] += (k < 2 ? k - 2 : k - 1) * step;
                moved[static_cast<std::size_t>(k)] = filter_life(adapt(input_of<double>(v, c.form, fan)));
            }
            const auto compare = [&](const D& value, const auto& of) {
                INFO("parameter " << i << " form " << static_cast<int>(c.form) << " end " << plain.reason);
                const double slope = (of(moved[0]) - 8 * of(moved[1]) + 8 * of(moved[2]) - of(moved[3])) / (12 * step);
                CHECK(value.derivative[i] * at[i] ==
                      Approx(slope * at[i]).epsilon(2e-5).margin(2e-6 * std::abs(value.value)));
            };
            compare(dual.time.value(), [](const FilterLife& x) { return x.time.value(); });
            compare(dual.mean_flow.value(), [](const FilterLife& x) { return x.mean_flow.value(); });
            compare(dual.mean_power->value(), [](const FilterLife& x) { return x.mean_power->value(); });
            compare(dual.dust_caught.value(), [](const FilterLife& x) { return x.dust_caught.value(); });
        }
    }
}

TEST_CASE("a law used beyond its readings is listed", "[own][loading]") {
    FilterLifeInput input = usual_input();
    const FilterLife life = filter_life(input);
    const double reached = 0.8 * life.moments.back().retained[0].value() / 2.2;
    input.stages[0].greatest_known = MassPerArea::from_value(1.01 * reached);
    CHECK(filter_life(input).extrapolated_stages.empty());
    input.stages[0].greatest_known = MassPerArea::from_value(0.9 * reached);
    CHECK(filter_life(input).extrapolated_stages == std::vector<std::size_t>{0});
}

TEST_CASE("dust that goes past a filter is not caught", "[own][loading]") {
    Values v = usual;
    v[p_gap] = 0.02;
    const FilterLife tight = filter_life(usual_input());
    const FilterLife leaky = filter_life(usual_input(LoadingForm::smooth, v));
    CHECK(leaky.moments.front().caught_share[0] < tight.moments.front().caught_share[0]);
    // The more it loads, the more goes past.
    Values constant = v;
    constant[p_gain] = 0.0;
    const FilterLife even = filter_life(usual_input(LoadingForm::smooth, constant));
    CHECK(even.moments.back().caught_share[0] < even.moments.front().caught_share[0]);
}

TEST_CASE("a life refuses what cannot be", "[own][loading]") {
    FilterLifeInput input = usual_input();
    input.stages[0].final_resistance = 40 * Pa;
    CHECK_THROWS_WITH(filter_life(input),
                      Contains("stage 1: final_resistance = 40 Pa") && Contains("clean pressure drop"));
    input = usual_input();
    input.dust.equivalence = 0.0;
    CHECK_THROWS_WITH(filter_life(input), Contains("dust equivalence = 0; required: > 0"));
    input = usual_input();
    input.running_fraction = 1.3;
    CHECK_THROWS_WITH(filter_life(input), Contains("running_fraction = 1.3"));
    input = usual_input();
    input.stages.clear();
    CHECK_THROWS_WITH(filter_life(input), Contains("number of stages = 0"));
    input = usual_input();
    input.dust.concentration = MassConcentration::from_value(std::nan(""));
    CHECK_THROWS_AS(filter_life(input), DomainError);
    input = usual_input();
    input.stages[0].efficiency.gain = 0.5;
    CHECK_THROWS_WITH(filter_life(input), Contains("loaded mass efficiency = 1.2"));
}
