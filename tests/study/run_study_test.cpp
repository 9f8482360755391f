// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <algorithm>
#include <functional>

#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/present_value.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/study/ranking.hpp>

#include "study/study_bench.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

bool any_contains(const std::vector<std::string>& texts, const std::string& part) {
    return std::any_of(texts.begin(), texts.end(),
                       [&](const std::string& text) { return text.find(part) != std::string::npos; });
}

bool lists(const std::vector<MissingFigure>& missing, const std::string& needs) {
    return std::any_of(missing.begin(), missing.end(),
                       [&](const MissingFigure& missed) { return missed.needs.find(needs) != std::string::npos; });
}

/// Whether anything in the result is listed as missing for want of this.
bool lists(const StudyResult& result, const std::string& needs) {
    bool found = lists(result.missing, needs);
    for (const FilterResult& f : result.filters) found = found || lists(f.missing, needs);
    for (const SystemResult& system : result.systems) {
        found = found || lists(system.missing, needs);
        for (const CandidateResult& c : system.candidates) found = found || lists(c.missing, needs);
    }
    return found;
}

StudyResult without(const std::function<void(StudyInput&)>& remove) {
    StudyInput study = known_study();
    remove(study);
    return evaluated(study);
}

const CandidateResult& first(const StudyResult& result) { return result.systems.at(0).candidates.at(0); }

/// The error that a changed study ends with.
std::string error_of(const std::function<void(StudyInput&)>& change) {
    try {
        without(change);
    } catch (const Error& error) {
        return error.what();
    }
    return "";
}

}   // namespace

TEST_CASE("readings without noise give the filters back", "[own][study]") {
    const StudyResult result = evaluated(known_study());
    REQUIRE(result.filters.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
        const KnownFilter known = known_filters()[i];
        const FilterResult& found = result.filters[i];
        CHECK(found.curve->linear.value.value() == Approx(known.linear).epsilon(1e-8));
        CHECK(found.curve->quadratic.value.value() == Approx(known.quadratic).epsilon(1e-8));
        CHECK(found.loading->parameters[0].value == Approx(known.growth_scale).epsilon(1e-4));
        CHECK(found.loading->parameters[1].value == Approx(known.transition).epsilon(1e-3));
        CHECK(found.loading->average_arrestance->value == Approx(known.arrestance).epsilon(1e-9));
        const double flow = 2.0 * 0.61 * 0.61;
        CHECK(found.pressure_at_velocities.at(0)->value.value() ==
              Approx(known_drop(known, flow, standard())).epsilon(1e-8));
        CHECK(*found.raw_pressure_at_velocities.at(0) >
              1.05 * found.pressure_at_velocities.at(0)->value);   // with the tare
        for (const SizeEfficiency& e : found.efficiency->ranges) {
            const double size = geometric_mean(e.range) / um;
            CHECK(1.0 - e.penetration.value == Approx(known.coarse_efficiency * size / (size + 0.8)).epsilon(1e-6));
        }
        CHECK(found.missing.empty());
    }
    CHECK(result.missing.empty());
    CHECK(result.stand->tare->quadratic.value.value() == Approx(22.0).epsilon(1e-8));
}

TEST_CASE("a nozzle, a fan table and a flow meter tell the same curve", "[own][study]") {
    const AirState air = moist_air(bench_conditions());
    StudyInput by_nozzle = known_study();
    by_nozzle.stand->flow_method = StandFlowMethod::flow_element;
    by_nozzle.stand->flow_instrument = instrument(ManometerData{"nozzle manometer", 0.005, 0.3 * Pa, {}});
    by_nozzle.stand->flow_element = FlowElement{.kind = FlowElementKind::stated_nozzle,
                                                .throat_diameter = Uncertain<Length>(0.3 * m),
                                                .stated_coefficient = uncertain(0.97, 0.005, "nozzle coefficient")};
    const auto put_nozzle = [&](BenchReading& r) {   // Q = C A (2 dp / rho)^(1/2), nearly incompressible
        const double ideal = r.flow->value() / (0.97 * 0.25 * 3.14159265358979 * 0.09);
        r.flow_element_pressure = 0.5 * air.density.value() * ideal * ideal * Pa;
        r.flow.reset();
    };
    for (BenchReading& r : by_nozzle.stand->empty_stand) put_nozzle(r);
    for (FilterInput& f : by_nozzle.filters) {
        for (BenchReading& r : f.pressure_readings) put_nozzle(r);
        for (LoadingReading& r : f.loading_readings) put_nozzle(r.reading);
    }
    const StudyResult result = evaluated(by_nozzle);
    for (std::size_t i = 0; i < 2; ++i) {   // the gas expands a little in the nozzle
        CHECK(result.filters[i].curve->linear.value.value() == Approx(known_filters()[i].linear).epsilon(5e-3));
        CHECK(result.filters[i].loading->parameters[0].value == Approx(known_filters()[i].growth_scale).epsilon(5e-3));
    }
    StudyInput by_fan = known_study();   // the bench's fan at full speed, its pressure read beside the filter's
    by_fan.stand->flow_method = StandFlowMethod::fan_table;
    FanTable table;
    table.stated_air = air;
    for (int i = 0; i <= 14; ++i) {
        const double q = 0.1 * i;
        table.points.push_back({q * m3_per_s, (420.0 - 260.0 * q) * Pa, {}});
    }
    by_fan.stand->fan = table;
    by_fan.stand->flow_instrument = Instrument{};
    const auto put_fan = [](BenchReading& r) {
        r.fan_pressure = (420.0 - 260.0 * r.flow->value()) * Pa;
        r.flow.reset();
    };
    for (BenchReading& r : by_fan.stand->empty_stand) put_fan(r);
    for (FilterInput& f : by_fan.filters) {
        for (BenchReading& r : f.pressure_readings) put_fan(r);
        for (LoadingReading& r : f.loading_readings) put_fan(r.reading);
    }
    const StudyResult inferred = evaluated(by_fan);
    for (std::size_t i = 0; i < 2; ++i) {
        CHECK(inferred.filters[i].curve->linear.value.value() == Approx(known_filters()[i].linear).epsilon(1e-6));
    }
}

TEST_CASE("the figures are those of the rooms called by hand", "[own][study]") {
    for (const FanControl control : {FanControl::fixed_speed, FanControl::holds_airflow}) {
        const StudyInput study = known_study(control);
        const StudyResult result = evaluated(study);
        const SystemInput& system = study.systems[0];
        const Fan fan =
            control == FanControl::fixed_speed ? Fan(fan_curve(system.fan)) : Fan(flow_holding_fan(system.fan));
        const OperatingPoint present =
            operating_point(fan, in_series(system.ducts, result.filters[0].curve->curve), standard());
        for (std::size_t i = 0; i < 2; ++i) {
            const FilterResult& filter = result.filters[i];
            const CandidateResult& c = result.systems[0].candidates[i];
            const OperatingPoint point = operating_point(fan, in_series(system.ducts, filter.curve->curve), standard());
            CHECK(c.clean->flow.value.value() == Approx(point.flow().value()).epsilon(1e-10));
            CHECK(c.clean->external_static_pressure.value.value() == Approx(point.pressure().value()).epsilon(1e-10));
            CHECK(c.clean->power->value.value() == Approx(point.power()->value()).epsilon(1e-10));
            CHECK(c.clean->filter_pressure.value.value() ==
                  Approx(pressure_drop(filter.curve->curve, point.flow(), standard()).value()).epsilon(1e-10));
            REQUIRE(c.clean_point.crossings.size() == 1);

            DustOfInterest dust = whole_dust(urban_distribution());
            dust.efficiency_rises_above_measured = true;
            FilterLifeInput input{.fan = fan};
            input.ducts = system.ducts;
            input.stages = {
                {.clean = filter.curve->curve,
                 .law = filter.loading->law,
                 .area = filter.loading->area,
                 .efficiency = {mass_efficiency(*filter.efficiency, dust).estimate.value, 0.0, 1 * kg_per_m2}}};
            input.stages[0].final_resistance = 180 * Pa;
            input.dust = {.concentration = 50 * ug_per_m3, .equivalence = 1.2};
            input.running_fraction = 4000 * h / year;
            input.air = standard();
            input.limits.least_airflow = system.least_airflow;
            input.horizon = 40000 * h;
            const ServicePrices prices{
                .change = {.filters = known_filters()[i].price * money, .labour = 10 * money, .disposal = 1 * money},
                .electricity = 0.25 * money_per_kWh,
                .annual_volume = present.flow() * (4000 * h)};
            const ChangeInterval change = find_change_interval(input, prices);
            CHECK(c.change_interval->value / h == Approx(*change.interval / h).epsilon(1e-6));
            CHECK(c.annual_cost->value / money == Approx(change.cost->annual_cost / money).epsilon(1e-7));
            CHECK(c.annual_filter_cost->value / money == Approx(change.cost->annual_filter_cost / money).epsilon(1e-7));
            CHECK(c.annual_energy->value / kWh == Approx(change.cost->annual_energy / kWh).epsilon(1e-7));
            CHECK(c.end->flow.value.value() == Approx(change.moment->flow.value()).epsilon(1e-7));
            CHECK(c.change_interval_reason == change.text);
            const YearlyCost yearly{change.cost->annual_energy_cost, change.cost->annual_filter_cost};
            CHECK(c.present_value->value / money ==
                  Approx(present_value(yearly, {.discount_rate = 0.03, .years = 10.0}) / money).epsilon(1e-7));

            const double removal = mass_efficiency(*filter.efficiency, urban_pm25()).estimate.value;
            CHECK(c.pm25_removal->value == Approx(removal).epsilon(1e-12));
            CHECK(c.pm10_removal->value ==
                  Approx(mass_efficiency(*filter.efficiency, rural_pm10()).estimate.value).epsilon(1e-12));
            CHECK(c.clean_air_pm25->value.value() == Approx(removal * point.flow().value()).epsilon(1e-10));
            CHECK(c.cost_per_clean_air->value.value() ==
                  Approx(cost_per_clean_air(change.cost->per_volume, removal).value()).epsilon(1e-7));

            // Both energies over 4000 hours of running, from the life by hand.
            const OperatingPoint bare = operating_point(fan, system.ducts, standard());
            const Power mean = *change.moment->fan_energy / change.moment->time;
            CHECK(c.counterfactual_energy->value / kWh ==
                  Approx((mean - *bare.power()) * (4000 * h) / kWh).epsilon(1e-6));
            const double efficiency = point.flow() * point.pressure() / *point.power();
            const Power lost = change.moment->filter_air_energy / change.moment->time;
            CHECK(c.attributable_energy->value / kWh == Approx(lost * (4000 * h) / kWh / efficiency).epsilon(1e-6));
        }
    }
}

TEST_CASE("a part that is not there leaves its figures out and is listed", "[own][study]") {
    SECTION("no stand") {   // then the pressures are compared, as of a stand without flow
        const StudyResult r = without([](StudyInput& study) { study.stand.reset(); });
        REQUIRE(r.stand);
        CHECK_FALSE(r.stand->tare);
        CHECK_FALSE(r.filters[0].curve);
        CHECK_FALSE(r.systems[0].recommended);
    }
    SECTION("no stand and no pressures") {
        const StudyResult r = without([](StudyInput& study) {
            study.stand.reset();
            for (FilterInput& f : study.filters) f.pressure_readings.clear();
        });
        CHECK(lists(r, "a description of the test stand"));
        CHECK_FALSE(r.stand);
        CHECK_FALSE(r.filters[0].curve);
        CHECK(r.filters[0].efficiency);   // counts need no stand
        CHECK_FALSE(first(r).clean);
        CHECK(lists(first(r).missing, "pressure against flow of 'coarse'"));
        CHECK_FALSE(r.systems[0].recommended);
    }
    SECTION("no air on the stand") {
        const StudyResult r = without([](StudyInput& study) { study.stand->air.reset(); });
        CHECK(any_contains(r.stand->flags, "not corrected for density and viscosity"));
        CHECK(r.filters[0].curve->linear.value.value() != Approx(known_filters()[0].linear).epsilon(1e-3));
    }
    SECTION("no empty stand") {
        const StudyResult r = without([](StudyInput& study) { study.stand->empty_stand.clear(); });
        CHECK(lists(r, "readings of the empty stand"));
        CHECK_FALSE(r.stand->tare);
        CHECK(r.filters[0].curve->quadratic.value.value() == Approx(16.0 + 22.0).epsilon(1e-6));   // tare still in it
    }
    SECTION("no flow on the stand") {
        const StudyResult r = without([](StudyInput& study) {
            study.stand->flow_method = StandFlowMethod::not_measured;
            for (FilterInput& f : study.filters) {
                f.pressure_readings.resize(1);
                f.loading_readings.clear();
            }
            study.stand->empty_stand.resize(1);
        });
        REQUIRE(r.stand->pressure_only);
        CHECK_FALSE(r.filters[0].curve);
        CHECK(lists(r.filters[0].missing, "flows on the stand"));
        CHECK_FALSE(first(r).clean);
    }
    SECTION("a flow element that is not described") {
        const StudyResult r =
            without([](StudyInput& study) { study.stand->flow_method = StandFlowMethod::flow_element; });
        CHECK(lists(r, "the flow element of the stand"));
        CHECK_FALSE(r.filters[0].curve);
    }
    SECTION("no pressure readings of one filter") {
        const StudyResult r = without([](StudyInput& study) { study.filters[0].pressure_readings.clear(); });
        CHECK(lists(r.filters[0].missing, "clean pressure readings of 'coarse'"));
        CHECK_FALSE(first(r).clean);
        CHECK(
            r.systems[0].candidates[1].annual_cost);   // at the air of the limit, as the present filter's is not known
        CHECK(any_contains(r.systems[0].warnings, "the least airflow asked for"));
    }
    SECTION("no counts: the arrestance of the bench's dust stands in for the dust caught") {
        const StudyResult r = without([](StudyInput& study) { study.filters[0].counts.clear(); });
        CHECK(lists(r.filters[0].missing, "particle counts of 'coarse'"));
        CHECK(lists(first(r).missing, "particle counts of 'coarse'"));
        CHECK_FALSE(first(r).pm25_removal);
        CHECK_FALSE(first(r).clean_air_pm25);
        CHECK_FALSE(first(r).cost_per_clean_air);
        CHECK(first(r).annual_cost);
        CHECK(any_contains(first(r).warnings, "stands in for the building's"));
    }
    SECTION("neither counts nor dust passed") {
        const StudyResult r = without([](StudyInput& study) {
            study.filters[0].counts.clear();
            for (LoadingReading& l : study.filters[0].loading_readings) l.dust_passed.reset();
        });
        CHECK(lists(first(r).missing, "the share of dust that 'coarse' stops"));
        CHECK(lists(r.filters[0].missing, "the dust that passed 'coarse', weighed"));
        CHECK_FALSE(first(r).annual_cost);
        CHECK(first(r).clean);
    }
    SECTION("no velocity of the counts") {
        const StudyResult r = without([](StudyInput& study) { study.filters[0].counts_face_velocity.reset(); });
        CHECK(r.filters[0].minimum_efficiency_text.empty());
        CHECK(lists(r.filters[0].missing, "face velocity at which 'coarse' was counted"));
    }
    SECTION("loading readings and no area that their dust is spread over") {
        const StudyResult r = without([](StudyInput& study) {
            study.filters[0].width.reset();
            study.filters[0].media_area.reset();
        });
        CHECK(lists(first(r).missing, "width and height of 'coarse', or its media area"));
        CHECK_FALSE(lists(first(r).missing, "loading readings of 'coarse'"));
    }
    SECTION("no loading readings") {
        const StudyResult r = without([](StudyInput& study) { study.filters[0].loading_readings.clear(); });
        CHECK(lists(first(r).missing, "loading readings of 'coarse'"));
        CHECK_FALSE(first(r).hours_to_limit);
        CHECK_FALSE(first(r).annual_cost);
        CHECK_FALSE(first(r).rank);
        CHECK(first(r).clean->power);
        CHECK(first(r).pm25_removal);
        CHECK(r.systems[0].recommended == std::size_t{1});
        CHECK_THAT(all_words(r.systems[0]), Contains("What the present 'coarse' costs a year is not known"));
    }
    SECTION("no price of a filter, of electricity; no power in the fan table: the limit tells the interval") {
        const auto check_without = [](const std::function<void(StudyInput&)>& remove, const std::string& needs,
                                      bool energy) {
            const StudyResult r = without(remove);
            CHECK(lists(first(r).missing, needs));
            CHECK_FALSE(first(r).annual_cost);
            CHECK_FALSE(first(r).present_value);
            REQUIRE(first(r).annual_energy.has_value() == energy);
            CHECK(first(r).attributable_energy.has_value() == energy);
            if (energy) {   // between what clean and loaded filters would take for the same air
                const Volume air = first(r).clean->flow.value * *known_study().systems[0].hours_per_year;
                const auto over_the_year = [&](const CandidateMoment& moment) {
                    return moment.power->value * air / moment.flow.value;
                };
                const Energy a = over_the_year(*first(r).clean), b = over_the_year(*first(r).end);
                CHECK(first(r).annual_energy->value > std::min(a, b));
                CHECK(first(r).annual_energy->value < std::max(a, b));
            }
            REQUIRE(first(r).hours_to_limit);
            CHECK(first(r).change_interval->value == first(r).hours_to_limit->value);
            CHECK_THAT(first(r).change_interval_reason,
                       Contains("final resistance") && Contains("not known without prices"));
            CHECK(first(r).end->filter_pressure.value / Pa == Approx(180.0).epsilon(1e-6));
            CHECK(first(r).middle->filter_pressure.value < 180.0 * Pa);
        };
        check_without([](StudyInput& study) { study.filters[0].price.reset(); }, "the price of 'coarse'", true);
        check_without([](StudyInput& study) { study.prices.electricity.reset(); }, "the price of electricity", true);
        check_without(
            [](StudyInput& study) {
                for (FanPoint& p : study.systems[0].fan.points) p.power.reset();
            },
            "power in the fan table", false);
    }
    SECTION("no labour, disposal, horizon") {
        const StudyResult r = without([](StudyInput& study) {
            study.prices.labour_per_change.reset();
            study.prices.disposal_per_filter.reset();
            study.prices.horizon.reset();
        });
        CHECK(first(r).annual_cost);
        CHECK(any_contains(first(r).warnings, "labour of a change is not stated"));
        CHECK(any_contains(first(r).warnings, "disposal of a filter is not stated"));
        CHECK(lists(first(r).missing, "a horizon in the prices"));
        CHECK_FALSE(first(r).present_value);
    }
    SECTION("no hours, no dust concentration, no dust equivalence") {
        const auto check_without = [](const std::function<void(SystemInput&)>& remove, const std::string& needs) {
            const StudyResult r = without([&](StudyInput& study) { remove(study.systems[0]); });
            CHECK(lists(first(r).missing, needs));
            CHECK_FALSE(first(r).hours_to_limit);
            CHECK_FALSE(first(r).annual_cost);
            CHECK(first(r).clean);
            CHECK(first(r).pm25_removal);
            CHECK_FALSE(r.systems[0].recommended);
            CHECK_THAT(r.systems[0].recommendation, Contains("No yearly cost can be computed"));
        };
        check_without([](SystemInput& system) { system.hours_per_year.reset(); }, "running hours a year");
        check_without([](SystemInput& system) { system.dust_concentration.reset(); }, "the dust concentration");
        check_without([](SystemInput& system) { system.dust_equivalence.reset(); }, "dust equivalence");
    }
    SECTION("no system, no candidates, nothing at all") {
        CHECK(lists(without([](StudyInput& study) { study.systems.clear(); }), "a system (fan table and ducts)"));
        const StudyResult bare = without([](StudyInput& study) {
            study.candidates.clear();
            study.systems[0].present_candidate.clear();
        });
        CHECK(lists(bare, "candidates"));
        CHECK(bare.filters[0].curve);
        StudyInput empty;
        empty.standard_air = standard();
        CHECK(evaluated(empty).missing.size() == 2);
    }
    SECTION("no viscous part to grow") {
        const StudyResult r = without([](StudyInput& study) {
            const AirState air = moist_air(bench_conditions());
            for (BenchReading& reading : study.filters[0].pressure_readings) {
                const double q = reading.flow->value();   // steeper than a square: no part in proportion to flow
                reading.pressure = (70.0 * q * q * q + tare_drop(q, air)) * Pa;
            }
        });
        CHECK(r.filters[0].curve->form == ElementFitForm::inertial_only);
        CHECK(lists(r.filters[0].missing, "in proportion to flow"));
        CHECK(first(r).clean);
        CHECK_FALSE(first(r).hours_to_limit);
    }
}

TEST_CASE("a limit that fails says value and limit", "[own][study]") {
    const auto failure = [](const std::function<void(SystemInput&)>& limit) {
        const StudyResult r = without([&](StudyInput& study) { limit(study.systems[0]); });
        const CandidateResult& c = r.systems[0].candidates[1];
        REQUIRE(c.failed_limits.size() == 1);
        CHECK_FALSE(c.rank);
        CHECK(r.systems[0].recommended != std::size_t{1});
        return c.failed_limits[0];
    };
    CHECK_THAT(failure([](SystemInput& system) { system.least_airflow = 1.38 * m3_per_s; }),
               Contains("airflow") && Contains("4876 m3/h (2870 cfm)") && Contains("at least 4968 m3/h (2924 cfm)"));
    CHECK_THAT(failure([](SystemInput& system) { system.greatest_external_static_pressure = 340 * Pa; }),
               Contains("external static pressure") && Contains("at most 340 Pa (1.36 inH2O)"));
    CHECK_THAT(failure([](SystemInput& system) { system.greatest_face_velocity = 3.0 * m_per_s; }),
               Contains("face velocity 3.64 m/s (716 fpm), limit at most 3.00 m/s (591 fpm)"));
    CHECK_THAT(failure([](SystemInput& system) { system.least_pm25_removal = 0.9; }),
               Contains("removal of PM2.5") && Contains("limit at least 90 %"));
    const StudyResult unknown = without([](StudyInput& study) {
        study.filters[1].counts.clear();
        study.systems[0].least_pm25_removal = 0.1;
    });
    CHECK(any_contains(unknown.systems[0].candidates[1].failed_limits, "removal of PM2.5 is not known"));
    const StudyResult none =
        without([](StudyInput& study) { study.systems[0].greatest_face_velocity = 1.0 * m_per_s; });
    CHECK_FALSE(none.systems[0].recommended);
    CHECK_THAT(none.systems[0].recommendation, Contains("No candidate meets every limit"));
    const StudyResult near = without([](StudyInput& study) { study.systems[0].least_airflow = 1.35 * m3_per_s; });
    // Met, it is a doubt; broken, a warning.
    const CandidateResult& fine = near.systems[0].candidates[1];
    CHECK(any_contains(fine.failed_limits.empty() ? fine.doubted_limits : fine.warnings,
                       "within the uncertainty of the limit"));
    for (const double least : {1.32, 1.36, 1.40}) {
        const StudyResult by = without([&](StudyInput& study) { study.systems[0].least_airflow = least * m3_per_s; });
        for (const CandidateResult& c : by.systems[0].candidates) {
            INFO(c.name << " at a least airflow of " << least << " m3/s");
            const bool near_it = coverage_interval(c.clean->flow, 0.95).contains(least * m3_per_s);
            CHECK(any_contains(c.doubted_limits, "airflow with clean filters") ==
                  (near_it && c.clean->flow.value >= least * m3_per_s));
            CHECK(any_contains(c.warnings, "airflow with clean filters lies within the uncertainty") ==
                  (near_it && c.clean->flow.value < least * m3_per_s));
            CHECK(c.doubted_limits.size() == c.doubt_conditions.size());
        }
    }
}

TEST_CASE("a present filter that fails a limit is said to", "[own][study]") {
    const StudyResult r = without([](StudyInput& study) { study.systems[0].least_pm25_removal = 0.40; });
    const SystemResult& system = r.systems[0];
    REQUIRE_FALSE(system.candidates[0].failed_limits.empty());
    REQUIRE(system.recommended == std::size_t{1});
    CHECK_THAT(all_words(system),
               Contains("more than the present 'coarse', which fails a limit (removal of PM2.5") &&
                   Contains("delivers less air than the present"));
}

TEST_CASE("without a least airflow nothing is recommended unconditionally", "[own][study]") {
    const StudyResult r = without([](StudyInput& study) {
        study.systems[0].least_airflow.reset();
        study.filters[0].price = Uncertain<Money>(200.0 * money);   // so that the other one is cheaper
    });
    const SystemResult& system = r.systems[0];
    CHECK(system.conditional);
    REQUIRE(system.recommended == std::size_t{1});
    CHECK(system.candidates[1].below_present_airflow);
    CHECK_FALSE(system.candidates[0].below_present_airflow);
    CHECK_THAT(all_words(system), Contains("nothing is recommended unconditionally") &&
                                      Contains("No least airflow was given for this system: check first") &&
                                      Contains("delivers less air than the present one does clean"));
    CHECK_FALSE(evaluated(known_study()).systems[0].conditional);
}

TEST_CASE("a fan that runs all the year is compared all the same", "[own][study]") {
    const StudyResult r = without([](StudyInput& study) { study.systems[0].hours_per_year = 8760.0 * h; });
    CHECK(first(r).failed_limits.empty());
    CHECK(any_contains(first(r).warnings, "even running all year"));
    CHECK(r.systems[0].recommended);
}

TEST_CASE("a filter that starves the system needs least power and does not rank first", "[own][study]") {
    StudyInput study = known_study();
    const KnownFilter starving{.name = "starving", .linear = 170.0, .coarse_efficiency = 0.55, .price = 12.0};
    study.filters.push_back(filter_readings(starving));
    study.candidates.push_back({"starving", {{"starving", 300.0 * Pa, {}}}, {}});
    StudyResult r = evaluated(study);
    SystemResult& system = r.systems[0];
    const auto& c = system.candidates;
    CHECK(c[2].clean->power->value < c[0].clean->power->value);
    CHECK(c[2].counterfactual_energy->value < c[0].counterfactual_energy->value);
    CHECK(c[2].annual_energy->value > c[0].annual_energy->value);   // the same air takes longer
    CHECK(*c[2].rank > *c[0].rank);
    CHECK(system.recommended == std::size_t{0});

    // Counterfactual energy alone cannot change order, ties or recommendation.
    SystemResult changed = system;
    for (CandidateResult& candidate : changed.candidates) {
        candidate.rank.reset();
        candidate.tied_with.clear();
        candidate.counterfactual_energy = Uncertain<Energy>(-5000.0 * static_cast<double>(candidate.name.size()) * kWh);
    }
    rank_candidates(study, study.systems[0], changed);
    CHECK(changed.ranking == system.ranking);
    CHECK(changed.recommended == system.recommended);
    CHECK(changed.recommendation == system.recommendation);
    for (std::size_t i = 0; i < c.size(); ++i) CHECK(changed.candidates[i].tied_with == c[i].tied_with);
}

TEST_CASE("two stages: the second gets what the first passes, each by its own rule", "[own][study]") {
    StudyInput study = known_study();
    study.candidates.push_back({"both", {{"coarse", 180.0 * Pa, 0.25 * year}, {"fine", 180.0 * Pa, {}}}, {}});
    study.systems[0].least_airflow.reset();
    const StudyResult r = evaluated(study);
    const CandidateResult& both = r.systems[0].candidates[2];
    REQUIRE(both.annual_cost);

    // Dust by hand: what the stages in series let through, over what the first lets through.
    DustOfInterest dust = whole_dust(urban_distribution());
    dust.efficiency_rises_above_measured = true;
    const FractionalEfficiency& coarse = *r.filters[0].efficiency;
    const FractionalEfficiency& fine = *r.filters[1].efficiency;
    const double first_stops = mass_efficiency(coarse, dust).estimate.value;
    const std::vector<FractionalEfficiency> stages{coarse, fine};
    const double both_stop = mass_efficiency(in_series(stages), dust).estimate.value;
    const double second_stops = 1.0 - (1.0 - both_stop) / (1.0 - first_stops);
    CHECK(second_stops < mass_efficiency(fine, dust).estimate.value);   // the coarse dust is gone
    FilterLifeInput input{.fan = fan_curve(study.systems[0].fan)};
    input.ducts = study.systems[0].ducts;
    for (std::size_t k = 0; k < 2; ++k) {
        FilterStage stage{.clean = r.filters[k].curve->curve,
                          .law = r.filters[k].loading->law,
                          .area = r.filters[k].loading->area,
                          .efficiency = {k == 0 ? first_stops : second_stops, 0.0, 1 * kg_per_m2}};
        stage.final_resistance = 180.0 * Pa;
        input.stages.push_back(stage);
    }
    input.stages[0].greatest_age = 0.25 * year;
    input.dust = {.concentration = 50 * ug_per_m3, .equivalence = 1.2};
    input.running_fraction = 4000 * h / year;
    input.air = standard();
    input.horizon = 40000 * h;
    const ServiceHistory history = service_history(input);
    std::vector<double> last(2, 0.0), count(2, 0.0);
    for (const StageChange& change : history.changes) {
        last[change.stage] = change.time / h;
        count[change.stage] += 1.0;
    }
    REQUIRE(count[0] > count[1]);
    CHECK(both.change_interval->value / h ==
          Approx(last[1] / count[1]).epsilon(1e-6));   // of the stage that lasts longest
    CHECK_THAT(both.change_interval_reason,
               Contains("'coarse' about every 1000 running hours") && Contains("'fine' about every"));
    const StagePrices prices{.changes = {{12 * money, 10 * money, 1 * money}, {26 * money, 10 * money, 1 * money}},
                             .electricity = 0.25 * money_per_kWh,
                             .annual_volume = first(r).clean->flow.value * (4000 * h)};
    CHECK(both.annual_cost->value / money == Approx(service_cost(history, prices).annual_cost / money).epsilon(1e-7));
    CHECK(both.pm25_removal->value ==
          Approx(mass_efficiency(in_series(stages), urban_pm25()).estimate.value).epsilon(1e-12));
    // Behind a first stage the fine filter lasts longer than alone.
    CHECK(both.change_interval->value > 1.3 * r.systems[0].candidates[1].change_interval->value);
    CHECK(both.clean->filter_pressure.value.value() ==
          Approx(pressure_drop(r.filters[0].curve->curve, both.clean->flow.value, standard()).value() +
                 pressure_drop(r.filters[1].curve->curve, both.clean->flow.value, standard()).value())
              .epsilon(1e-9));
}

TEST_CASE("a stage that nothing changes has no interval", "[own][study]") {
    StudyInput study = known_study();
    study.systems[0].least_airflow.reset();
    study.candidates.push_back({"both", {{"coarse", 130.0 * Pa, {}}, {"fine", {}, {}}}, {}});
    const CandidateResult both = evaluated(study).systems[0].candidates[2];
    CHECK(lists(both.missing, "a rule by which stage 'fine' is changed"));
    CHECK_FALSE(both.annual_cost);
    CHECK(both.clean);
}

TEST_CASE("counts with more particles behind the filter than before it carry no unconditional recommendation",
          "[own][study]") {
    const StudyResult sound = without([](StudyInput& study) { study.candidates.resize(1); });
    REQUIRE(sound.systems[0].recommended);
    CHECK_FALSE(sound.systems[0].conditional);
    const StudyResult odd = without([](StudyInput& study) {
        study.candidates.resize(1);
        SizeRangeCounts& counts = study.filters[0].counts.front();
        for (double& count : counts.downstream) count = 1.5 * counts.upstream.front();
    });
    CHECK(first(odd).counts_contradict);
    CHECK(odd.systems[0].conditional);
    CHECK_THAT(
        odd.systems[0].recommendation,
        Contains("show more particles behind a filter than before it, so nothing is recommended unconditionally"));
}

TEST_CASE("a gap beside the filter lowers what is removed", "[own][study]") {
    StudyInput study = known_study();
    study.candidates[1].bypass_gap = 40.0 * cm2;
    const StudyResult open = evaluated(study);
    const StudyResult sealed = evaluated(known_study());
    const CandidateResult& a = open.systems[0].candidates[1];
    const CandidateResult& b = sealed.systems[0].candidates[1];
    const FlowSplit split = flow_split({open.filters[1].curve->curve, 40.0 * cm2}, a.clean->flow.value, standard());
    const double through = split.through_element / a.clean->flow.value;
    CHECK(through < 0.99);
    CHECK(a.pm25_removal->value == Approx(through * b.pm25_removal->value).epsilon(1e-9));   // the gap removes nothing
    CHECK(a.clean->flow.value > b.clean->flow.value);
    CHECK(a.clean->filter_pressure.value.value() == Approx(split.drop.value()).epsilon(1e-9));
    CHECK(any_contains(b.warnings, "no gap around the filters is stated"));
    CHECK_FALSE(any_contains(a.warnings, "no gap around the filters is stated"));
}

TEST_CASE("what a fan does at its edges is told, not thrown", "[own][study]") {
    SECTION("it cannot serve the system") {
        const StudyResult r = without([](StudyInput& study) {
            study.systems[0].ducts =
                system_from_design_point({.flow = 0.3 * m3_per_s, .pressure = 900 * Pa, .air = standard()});
        });
        // In numbers: the table's flows, what the system needs where it ends, what the fan gives there.
        CHECK(any_contains(first(r).failed_limits,
                           "no operating point with clean filters: fan and system would meet at less flow than the fan "
                           "table has; the fan table goes from "));
        CHECK(any_contains(first(r).failed_limits, "and at its least flow ducts and filters need "));
        CHECK_FALSE(first(r).clean);
        CHECK_FALSE(r.systems[0].recommended);
    }
    SECTION("it meets the system more than once") {
        const StudyResult r = without([](StudyInput& study) {
            study.systems[0].fan =
                fan_rows({{0.1, 330, 500}, {0.4, 260, 600}, {0.8, 340, 800}, {1.2, 390, 1000}, {1.6, 200, 1100}});
            study.systems[0].ducts =
                system_from_design_point({.flow = 1.3 * m3_per_s, .pressure = 40 * Pa, .air = standard()});
            study.systems[0].ducts.constant_pressure = 270 * Pa;
        });
        CHECK(first(r).clean_point.crossings.size() == 3);
        CHECK(any_contains(first(r).doubted_limits, "fan and system meet at both"));
        CHECK(first(r).clean->flow.value.value() == Approx(first(r).clean_point.flow().value()).epsilon(1e-12));
    }
    SECTION("its drive is at its limit") {
        StudyInput study = known_study(FanControl::holds_airflow);
        study.systems[0].ducts =
            system_from_design_point({.flow = 1.3 * m3_per_s, .pressure = 480 * Pa, .air = standard()});
        const StudyResult r = evaluated(study);
        CHECK(any_contains(first(r).warnings, "no longer holds the airflow"));
        CHECK(first(r).clean->flow.value < 1.3 * m3_per_s);
    }
    SECTION("its table gives more power to the air than it takes") {
        const StudyResult r = without([](StudyInput& study) {
            for (FanPoint& p : study.systems[0].fan.points) p.power = 0.3 * *p.power;
        });
        CHECK(any_contains(first(r).warnings, "its pressure or its power is wrong"));
    }
}

TEST_CASE("errors say what they are about", "[own][study]") {
    CHECK_THAT(error_of([](StudyInput& study) { study.filters[1].name = "coarse"; }),
               Contains("two filters are named 'coarse'"));
    CHECK_THAT(error_of([](StudyInput& study) { study.candidates[0].stages[0].filter = "wool"; }),
               Contains("'wool'") && Contains("candidate 'coarse'"));
    CHECK_THAT(error_of([](StudyInput& study) { study.candidates[0].stages.clear(); }),
               Contains("'coarse' has no stage"));
    CHECK_THAT(error_of([](StudyInput& study) { study.systems[0].present_candidate = "wool"; }),
               Contains("'wool'") && Contains("'air handler'"));
    CHECK_THAT(error_of([](StudyInput& study) { study.filters[0].width = -1.0 * m; }),
               Contains("width of filter 'coarse' = -1 m"));
    CHECK_THAT(error_of([](StudyInput& study) { study.filters[0].loading_readings[2].dust_fed = 0.0 * kg; }),
               Contains("filter 'coarse'"));
    CHECK_THAT(error_of([](StudyInput& study) { study.stand->empty_stand[0].flow = -1.0 * m3_per_s; }),
               Contains("stand: "));
    CHECK_THAT(error_of([](StudyInput& study) { study.systems[0].fan.points[2] = study.systems[0].fan.points[1]; }),
               Contains("system 'air handler'") && Contains("same point twice"));
    CHECK_THAT(error_of([](StudyInput& study) { study.candidates[1].stages[0].final_resistance = 20.0 * Pa; }),
               Contains("system 'air handler', candidate 'fine'") && Contains("final resistance 20.0 Pa") &&
                   Contains("above its clean pressure drop"));
    CHECK_THAT(error_of([](StudyInput& study) { study.systems[0].duct_pressure_factor = Uncertain<double>(0.0); }),
               Contains("duct_pressure_factor of system 'air handler'"));
    CHECK_THAT(error_of([](StudyInput& study) { study.systems[0].hours_per_year = 9000.0 * h; }),
               Contains("hours_per_year"));
    CHECK_THAT(error_of([](StudyInput& study) { study.coverage_probability = 95.0; }),
               Contains("coverage_probability = 95"));
    CHECK_THAT(error_of([](StudyInput& study) { study.prices.horizon = 0.0 * year; }), Contains("horizon"));
}

TEST_CASE("limits and clean air go by the removal that lasts", "[own][study]") {
    const auto charged = [](double left, double limit) {
        return without([left, limit](StudyInput& study) {
            study.systems[0].least_pm25_removal = limit;
            if (limit < 0.3) study.filters[0].price = Uncertain<Money>(200.0 * money);   // so that 'fine' is cheaper
            FilterInput& fine = study.filters[1];
            fine.conditioned_counts = fine.counts;
            for (SizeRangeCounts& c : fine.conditioned_counts) {
                for (double& n : c.downstream) n = 1e6 - left * (1e6 - n);
            }
        });
    };
    const auto fine_in = [](const StudyResult& r) -> const CandidateResult& { return r.systems[0].candidates[1]; };
    const StudyResult weak = charged(0.5, 0.40);
    const CandidateResult& fine = fine_in(weak);
    REQUIRE(fine.pm25_removal_discharged);
    CHECK(fine.pm25_removal->value > 0.40);
    CHECK(fine.pm25_removal_discharged->value < 0.40);
    CHECK(fine.pm25_removal_discharged->value / fine.pm25_removal->value == Approx(0.5).epsilon(0.1));
    CHECK(fine.lasting_pm25_removal->value == fine.pm25_removal_discharged->value);
    CHECK(fine.clean_air_pm25->value.value() ==
          Approx(fine.clean->flow.value.value() * fine.pm25_removal_discharged->value));
    REQUIRE(fine.failed_limits.size() == 1);
    CHECK_THAT(fine.failed_limits[0], Contains("only while the charge lasts, then"));
    CHECK_FALSE(weak.systems[0].recommended);

    const StudyResult strong = charged(0.98, 0.40);
    CHECK(fine_in(strong).failed_limits.empty());
    CHECK_THAT(all_words(strong.systems[0]), Contains("Fit 'fine'") && !Contains("charge is gone"));
    // The warning quotes what the limit goes by.
    CHECK(any_contains(fine.warnings, "removes " + detail::percent_words(fine.pm25_removal->value) +
                                          " of PM2.5 (mass from 0.3 to 2.5 um) as delivered and " +
                                          detail::percent_words(fine.pm25_removal_discharged->value)));
    CHECK_FALSE(any_contains(fine_in(strong).warnings, "once its charge is gone"));
    const StudyResult enough = charged(0.7, 0.25);
    CHECK(fine_in(enough).failed_limits.empty());
    CHECK_THAT(all_words(enough.systems[0]), Contains(" new and ") && Contains("when its charge is gone"));
    const StudyResult uncounted = without([](StudyInput& study) { study.systems[0].least_pm25_removal = 0.40; });
    CHECK(fine_in(uncounted).lasting_pm25_removal->value == fine_in(uncounted).pm25_removal->value);
    CHECK(fine_in(uncounted).failed_limits.empty());
}

TEST_CASE("the running time of the equal service delivers its air", "[own][study]") {
    const StudyResult r = evaluated(known_study());
    const CandidateResult& present = r.systems[0].candidates[0];
    const Volume air = present.clean->flow.value * *known_study().systems[0].hours_per_year;
    for (const CandidateResult& c : r.systems[0].candidates) {
        INFO(c.name);
        REQUIRE(c.annual_running_time);
        // The mean flow of a life lies between its ends.
        const VolumeFlow mean = air / c.annual_running_time->value;
        CHECK(mean <= c.clean->flow.value);
        CHECK(mean >= c.end->flow.value);
    }
    CHECK_THAT(all_words(r.systems[0]), Contains("which this one delivers in"));
}

TEST_CASE("a present filter whose airflow is not known is not called unstated", "[own][study]") {
    const StudyResult r = without([](StudyInput& study) { study.filters[0].pressure_readings.clear(); });
    CHECK(any_contains(r.systems[0].warnings, "(what the present 'coarse' delivers is not known)"));
    CHECK_FALSE(any_contains(r.systems[0].warnings, "no present filter is stated"));
}

TEST_CASE("a candidate without a cost is named as not compared", "[own][study]") {
    const StudyResult r = without([](StudyInput& study) { study.filters[1].loading_readings.clear(); });
    CHECK_FALSE(r.systems[0].candidates[1].annual_cost);
    CHECK_THAT(all_words(r.systems[0]), Contains("Not compared, for want of") && Contains("'fine'"));
    CHECK_THAT(all_words(evaluated(known_study()).systems[0]), !Contains("Not compared"));
}

TEST_CASE("what looks like a typing error is asked about", "[own][study]") {
    const StudyResult dip = without([](StudyInput& study) {
        study.systems[0].fan = fan_rows(
            {{0.4, 480, 700}, {0.7, 520, 790}, {1.0, 470, 880}, {1.3, 370, 950}, {1.6, 220, 980}, {1.9, 40, 960}});
    });
    CHECK(any_contains(dip.systems[0].warnings, "a stall dip of the fan, or a typing error?"));
    const StudyResult small = without([](StudyInput& study) {
        for (FilterInput& filter : study.filters) filter.width = filter.height = 6.1 * m;
    });
    CHECK(any_contains(first(small).warnings, "is unusual for a ducted filter"));
    const StudyResult plain = evaluated(known_study());
    CHECK_FALSE(any_contains(plain.systems[0].warnings, "typing error"));
    CHECK_FALSE(any_contains(first(plain).warnings, "unusual"));
}
