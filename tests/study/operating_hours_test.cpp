// SPDX-License-Identifier: BSL-1.0
// What a study makes of hours, prices by the hour and by the month's peak, carbon and years of service. Second ways:
// the rooms' own functions, and the same study with the mean price or mean dust stated.
#include "support/catch.hpp"

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/cost/present_value.hpp>
#include <filterflow/study/candidate_evaluation.hpp>
#include <filterflow/study/operating_hours.hpp>

#include "study/study_bench.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

/// Working days from 7 to 19, in winter at night, too; dustier in winter. Invented.
OperatingHours office_hours(bool states_dust) {
    std::vector<DutyHour> hours(8760);
    const TimeOfUseTariff windows{{},
                                  {{.first_hour = 7, .end_hour = 19, .days = TariffDays::working_days},
                                   {.first_hour = 19, .end_hour = 7, .first_month = 11, .last_month = 2}}};
    for (std::size_t h = 0; h < hours.size(); ++h) {
        const bool winter = detail::month_of_day(h / 24) >= 11 || detail::month_of_day(h / 24) <= 2;
        const double dust = states_dust ? 4e-8 : 1.0;
        hours[h].concentration = MassConcentration::from_value((winter ? 1.5 : 0.9) * dust);
        hours[h].running = detail::window_at(windows, {h, 2}) < 2 ? 0.8 : 0.0;
    }
    return {hourly_schedule(std::move(hours)), states_dust, 2};
}

PricesInput with_tariff(PricesInput prices) {
    prices.time_of_use.push_back(
        {{.first_hour = 22, .end_hour = 6}, uncertain(0.09 * money_per_kWh, 0.01 * money_per_kWh, "night")});
    prices.time_of_use.push_back({{.first_hour = 16, .end_hour = 20, .days = TariffDays::working_days},
                                  Uncertain<EnergyPrice>(0.41 * money_per_kWh)});
    return prices;
}

double cost_of(const StudyResult& result, std::size_t candidate) {
    return result.systems[0].candidates[candidate].annual_cost->value / money;
}

}   // namespace

TEST_CASE("hours set running time and dust of a system", "[own][study]") {
    const StudyInput study = known_study();
    const SystemInput& plain = study.systems[0];
    const OperatingHours hours = office_hours(false);
    const SystemInput by_factors = with_operating_hours(plain, hours);
    CHECK(*by_factors.hours_per_year / h == Approx(hours.schedule.running_time() / h).epsilon(1e-12));
    const double mean = hours.schedule.mean_concentration().value();
    CHECK(mean > 0.9);
    CHECK(mean < 1.5);
    CHECK(by_factors.dust_concentration->value.value() == Approx(mean * plain.dust_concentration->value.value()));
    CHECK(by_factors.dust_concentration->standard_uncertainty().value() ==
          Approx(mean * plain.dust_concentration->standard_uncertainty().value()));
    const SystemInput stated = with_operating_hours(plain, office_hours(true), uncertain(1.0, 0.1, "dust"));
    CHECK(stated.dust_concentration->value.value() == Approx(4e-8 * mean));
    CHECK(stated.dust_concentration->standard_uncertainty().value() == Approx(4e-9 * mean));
    CHECK_THROWS_WITH(with_operating_hours(plain, {constant_schedule(1 * ug_per_m3, 0.5), true, 0}),
                      Contains("number of hours") && Contains("8760"));
}

TEST_CASE("a study by the hour is the study with the mean price and dust stated", "[own][study]") {
    StudyInput by_hour = known_study();
    by_hour.systems[0] = with_operating_hours(by_hour.systems[0], office_hours(false));
    by_hour.prices = with_tariff(by_hour.prices);
    const StudyResult found = evaluated(by_hour);
    REQUIRE(found.systems[0].electricity.has_value());
    const SystemElectricity& paid = *found.systems[0].electricity;
    CHECK(paid.hours_known);
    CHECK(paid.shares.base + paid.shares.windows[0] + paid.shares.windows[1] == Approx(1.0));
    CHECK(std::pow(paid.price.standard_uncertainty() / money_per_kWh, 2) ==
          Approx(std::pow(paid.shares.windows[0] * 0.01, 2) +
                 std::pow(paid.shares.base * (by_hour.prices.electricity->standard_uncertainty() / money_per_kWh), 2)));

    StudyInput by_mean = known_study();
    by_mean.prices.electricity = Uncertain<EnergyPrice>(paid.price.value);
    by_mean.systems[0].hours_per_year = by_hour.systems[0].hours_per_year;
    by_mean.systems[0].dust_concentration = by_hour.systems[0].dust_concentration;
    const StudyResult same = evaluated(by_mean);
    for (std::size_t i = 0; i < found.systems[0].candidates.size(); ++i) {
        CHECK(cost_of(found, i) == Approx(cost_of(same, i)).epsilon(1e-9));
        CHECK_FALSE(same.systems[0].candidates[i].calendar.has_value());
        const CandidateResult& c = found.systems[0].candidates[i];
        REQUIRE(c.calendar.has_value());
        const double mean_year = c.change_interval->value / *by_hour.systems[0].hours_per_year;   // in years
        CHECK(c.calendar->from[c.calendar->shortest] / year <= mean_year * 1.001);
        CHECK(c.calendar->from[c.calendar->longest] / year >= mean_year * 0.999);
    }
    CHECK_FALSE(same.systems[0].electricity.has_value());

    StudyInput unknown = known_study();   // prices by the hour of a fan whose hours nobody told
    unknown.prices = with_tariff(unknown.prices);
    const StudyResult evenly = evaluated(unknown);
    REQUIRE(evenly.systems[0].electricity.has_value());
    CHECK_FALSE(evenly.systems[0].electricity->hours_known);
    CHECK(evenly.systems[0].electricity->shares.windows[0] == Approx(8.0 / 24).epsilon(1e-9));
    bool said = false;
    for (const MissingFigure& m : evenly.systems[0].missing)
        said = said || m.figure.find("hours that the fan runs") < 99;
    CHECK(said);
}

TEST_CASE("an interval by age tells of a season that brings more dust within it", "[own][study]") {
    std::vector<DutyHour> hours(8760);
    for (std::size_t h = 0; h < hours.size(); ++h) {
        const auto month = detail::month_of_day(h / 24);
        hours[h].concentration = MassConcentration::from_value(1.0);
        hours[h].running = month >= 11 || month <= 2 ? 1.0 : 0.0;
    }
    const DustSchedule winter = hourly_schedule(std::move(hours));
    // Half a year holds the whole winter, where the mean would have half of it.
    const Time age = 4380.0 * units::h;
    CHECK_THAT(detail::season_warning(winter, Time(0.5 * winter.running_time()), age), Contains(" meets 2.0 times"));
    CHECK(detail::season_warning(winter, Time(winter.running_time()), Time(2.0 * age)).empty());
}

TEST_CASE("demand charges, carbon and years of service of a study", "[own][study]") {
    for (const FanControl control : {FanControl::fixed_speed, FanControl::holds_airflow}) {
        const StudyInput plain = known_study(control);
        StudyInput asked = plain;
        asked.prices.demand = uncertain(11 * money_per_kW, 1 * money_per_kW, "peak");
        asked.prices.carbon = Uncertain<CarbonIntensity>(0.3 * kg_per_kWh);
        asked.prices.discount_rate = 0.03;
        asked.prices.electricity_escalation = 0.02;
        asked.prices.other_escalation = 0.01;
        asked.prices.years_of_service = 8.0 * year;
        asked.prices.change_penalty = 0.02;
        const StudyResult with = evaluated(asked), without = evaluated(plain);
        for (std::size_t i = 0; i < with.systems[0].candidates.size(); ++i) {
            const CandidateResult& c = with.systems[0].candidates[i];
            const CandidateResult& before = without.systems[0].candidates[i];
            INFO(c.name);
            CHECK_FALSE(before.annual_demand_cost.has_value());
            CHECK_FALSE(before.annual_carbon.has_value());
            CHECK_FALSE(before.service.has_value());
            CHECK_FALSE(before.change_earliest.has_value());
            REQUIRE(c.annual_demand_cost.has_value());
            CHECK(c.annual_demand_cost->value / money == Approx(12 * 11 * 1e-3 * (c.monthly_peak->value / W)));
            const double most = std::max(c.clean->power->value, c.end->power->value) / W;
            const double least = std::min(c.clean->power->value, c.end->power->value) / W;
            CHECK(c.monthly_peak->value / W < most * 1.02);   // a history's middle may pass both ends a little
            CHECK(c.monthly_peak->value / W > least * 0.98);
            CHECK(c.annual_cost->value > before.annual_cost->value);
            CHECK(c.annual_carbon->value / kg == Approx(0.3 * (c.annual_energy->value / kWh)));
            REQUIRE(c.service.has_value());
            const double energy = c.annual_energy->value / kWh * (asked.prices.electricity->value / money_per_kWh);
            CHECK(c.service->energy_cost.value / money ==
                  Approx(8.0 * (energy + c.annual_demand_cost->value / money)).epsilon(1e-9));
            CHECK(c.service->filter_cost.value / money ==
                  Approx(8.0 * (c.annual_filter_cost->value / money)).epsilon(1e-9));
            const YearlyCost yearly{.energy = (energy + c.annual_demand_cost->value / money) * money,
                                    .filters = c.annual_filter_cost->value};
            const double late = present_value(yearly, {.discount_rate = 0.03,
                                                       .electricity_escalation = 0.02,
                                                       .other_escalation = 0.01,
                                                       .years = 8.0}) /
                                money;
            CHECK(c.service->present_value.value / money > late);
            CHECK(c.service->present_value.value / money < 1.05 * late);
            for (const std::size_t bought : c.service->purchases) CHECK(bought >= 1);
            if (asked.candidates[i].stages.size() > 1) {
                CHECK_FALSE(c.change_earliest.has_value());
                continue;
            }
            REQUIRE(c.change_earliest.has_value());
            CHECK(c.change_earliest->value < c.change_interval->value);
            CHECK(c.change_latest->value >= c.change_interval->value);
            CHECK(c.change_earliest->standard_uncertainty() > Time{});
        }
    }
}

TEST_CASE("the yearly mean of a room by its fan's hours", "[own][study]") {
    StudyInput study = known_study();
    study.systems[0].room = RoomInput{.volume = 1500 * m3, .outdoor_air = {}, .infiltration = 0.2 * per_h,
                                      .penetration = {}, .outdoor_pm25 = {}, .outdoor_pm10 = {}};
    const StudyResult without = evaluated(study);
    CHECK_FALSE(without.systems[0].candidates[0].indoor_pm25_mean_share.has_value());
    study.systems[0].room->fan_cycle = 1 * h;
    const StudyResult cycling = evaluated(study);
    StudyInput by_hour = study;
    by_hour.systems[0] = with_operating_hours(by_hour.systems[0], office_hours(false));
    const StudyResult hourly = evaluated(by_hour);
    for (std::size_t i = 0; i < 2; ++i) {
        const CandidateResult& c = cycling.systems[0].candidates[i];
        REQUIRE(c.indoor_pm25_mean_share.has_value());
        REQUIRE(hourly.systems[0].candidates[i].indoor_pm25_mean_share.has_value());
        // All air comes in by cracks: while the fan rests less is taken out of it, and it rests for half of the time.
        CHECK(c.indoor_pm25_mean_share->value > c.indoor_pm25_share->value);
        CHECK(hourly.systems[0].candidates[i].indoor_pm25_mean_share->value > c.indoor_pm25_share->value);
        CHECK(c.indoor_pm25_mean_share->standard_uncertainty() > 0.0);
        CHECK(without.systems[0].candidates[i].indoor_pm25_share->value == c.indoor_pm25_share->value);
    }
    study.systems[0].hours_per_year.reset();
    const StudyResult lacking = evaluated(study);
    bool said = false;
    for (const MissingFigure& m : lacking.systems[0].candidates[0].missing) {
        said = said || m.figure == "yearly mean of PM2.5 and PM10 indoors";
    }
    CHECK(said);
}

TEST_CASE("a study refuses hours and prices that cannot be", "[own][study]") {
    StudyInput study = known_study();
    study.systems[0] = with_operating_hours(study.systems[0], office_hours(false));
    study.systems[0].hours_per_year = 1000 * h;
    CHECK_THROWS_WITH(evaluated(study), Contains("hours_per_year") && Contains("with_operating_hours"));
    study = known_study();
    study.prices.electricity.reset();
    study.prices = with_tariff(study.prices);
    CHECK_THROWS_WITH(evaluated(study), Contains("prices by the hour without a price of all other hours"));
    study = known_study();
    study.prices.demand = Uncertain<DemandPrice>(DemandPrice{});
    CHECK_THROWS_WITH(evaluated(study), Contains("demand"));
    study = known_study();
    study.prices.change_penalty = 1.5;
    CHECK_THROWS_WITH(evaluated(study), Contains("change_penalty"));
    study = known_study();
    study.prices.years_of_service = Time{};
    CHECK_THROWS_WITH(evaluated(study), Contains("years_of_service"));
}
