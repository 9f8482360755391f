// SPDX-License-Identifier: BSL-1.0

#include "study_reader_parts.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace choose_filter {

using namespace filterflow;

namespace {

std::optional<Uncertain<EnergyPrice>> energy_price(const TomlTable& table, const std::string& input_name) {
    const auto stated = table.stated_number("electricity_per_kWh");
    if (!stated) return std::nullopt;
    if (!(stated->value >= 1e-5 && stated->value <= 1e5)) {
        table.refuse_value("electricity_per_kWh", stated->value > 0.0 ? "is out of range" : "is not above 0",
                           "0.00001 to 100000 of the currency a kWh", "leave it out if it is not known");
    }
    table.refuse_wide("electricity_per_kWh", stated->value, stated->half_width);
    const EnergyPrice price = stated->value * units::money_per_kWh;
    if (stated->half_width == 0.0) return Uncertain<EnergyPrice>(price);
    return uncertain(price, stated->half_width / normal_95 * units::money_per_kWh, input_name);
}

std::optional<Uncertain<DemandPrice>> demand_price(const TomlTable& table) {
    const char* const key = "demand_per_kW_month";
    const auto stated = table.stated_number(key);
    if (!stated) return std::nullopt;
    if (!(stated->value >= 1e-5 && stated->value <= 1e6)) {
        table.refuse_value(key, stated->value > 0.0 ? "is out of range" : "is not above 0",
                           "0.00001 to 1000000 of the currency a kW and month",
                           "leave it out where the tariff has no price of a month's greatest power");
    }
    table.refuse_wide(key, stated->value, stated->half_width);
    const DemandPrice price = stated->value * units::money_per_kW;
    if (stated->half_width == 0.0) return Uncertain<DemandPrice>(price);
    return uncertain(price, stated->half_width / normal_95 * units::money_per_kW, "price of monthly peak power");
}

std::optional<Uncertain<CarbonIntensity>> carbon_intensity(const TomlTable& table) {
    const auto mass = table.uncertain_quantity<Mass>("carbon_per_kWh", "carbon dioxide of electricity");
    if (!mass) return std::nullopt;
    if (!(mass->value >= 0.0 * units::kg && mass->value <= 5.0 * units::kg)) {
        table.refuse_value("carbon_per_kWh", "is out of range", "0 to 5 kg a kWh",
                           "grids have 0.02 to 1 kg of carbon dioxide a kWh: is it grams?");
    }
    table.refuse_wide("carbon_per_kWh", mass->value.value(), normal_95 * mass->standard_uncertainty().value());
    const double per_joule = 1.0 / units::kWh.one.value();
    Uncertain<CarbonIntensity> carbon(CarbonIntensity::from_value(mass->value.value() * per_joule));
    carbon.gradient.add(mass->gradient, per_joule);
    return carbon;
}

}   // namespace

void read_prices(const TomlTable& root, StudyInput& study) {
    const auto table = root.table("prices", "[prices]", study_keys("prices"));
    if (!table) return;
    PricesInput& prices = study.prices;
    if (const auto currency = table->text("currency")) prices.currency = *currency;
    prices.electricity = energy_price(*table, "price of electricity");
    for (const TomlTable& part :
         table->tables("time_of_use", "[[prices.time_of_use]]", study_keys("prices.time_of_use"))) {
        const std::size_t number = prices.time_of_use.size() + 1;
        const auto price = energy_price(part, fmt::format("price of electricity, time of use {}", number));
        if (!price) part.refuse_missing("electricity_per_kWh", "0.12");
        prices.time_of_use.push_back({time_window(part), *price});
    }
    if (!prices.time_of_use.empty() && !prices.electricity) {
        table->refuse("time_of_use", "electricity has prices by the hour, but none of all other hours",
                      "add electricity_per_kWh = 0.24 to [prices]");
    }
    prices.demand = demand_price(*table);
    prices.carbon = carbon_intensity(*table);
    prices.labour_per_change = money(*table, "labour_per_change", "labour per change");
    prices.disposal_per_filter = money(*table, "disposal_per_filter", "disposal of a filter");
    const auto rate = [&](const char* key) {
        const double value = table->fraction(key).value_or(0.0);
        if (!(value > -0.5 && value < 1.0)) {
            table->refuse_value(key, "is out of range", "-50 to 100 % a year", "4 % is written 0.04 or \"4 %\"");
        }
        return value;
    };
    prices.discount_rate = rate("discount_rate");
    prices.electricity_escalation = rate("electricity_escalation");
    prices.other_escalation = rate("other_escalation");
    prices.years_of_service = table->between<Time>("years_of_service", "1 month", "200 years");
    prices.change_penalty = table->fraction("change_penalty");
    if (prices.change_penalty && !(*prices.change_penalty >= 1e-4 && *prices.change_penalty <= 1.0)) {
        table->refuse_value("change_penalty", "is out of range", "0.01 to 100 %", "2 % is written 0.02 or \"2 %\"");
    }
    prices.horizon = table->between<Time>("horizon", "1 day", "200 years");
}

// No currency makes a kWh cost as much as many filters: cents and dollars were mixed.
void check_electricity_price(const TomlTable& root, StudyInput& study) {
    if (!study.prices.electricity) return;
    double dearest = 0.0;
    for (const FilterInput& filter : study.filters) {
        if (filter.price) dearest = std::max(dearest, filter.price->value.value());
    }
    double kWh = study.prices.electricity->value / units::money_per_kWh;
    const TomlTable* of_price = nullptr;   // of the dearest hours, where it is not that of all other hours
    const auto prices = root.table("prices", "[prices]", study_keys("prices"));
    const auto hourly = prices->tables("time_of_use", "[[prices.time_of_use]]", study_keys("prices.time_of_use"));
    for (std::size_t k = 0; k < study.prices.time_of_use.size(); ++k) {
        const double price = study.prices.time_of_use[k].price.value / units::money_per_kWh;
        if (price <= kWh) continue;
        kWh = price;
        of_price = &hourly.at(k);
    }
    if (!(dearest > 0.0) || kWh <= 0.3 * dearest) return;
    const std::string hint = "is it in cents, and the price of filters is not? Both are in the currency of the study";
    if (kWh <= 3.0 * dearest) {
        study.notes.push_back(
            fmt::format("a kWh costs {:g}, the dearest filter no more than {:g}: {}", kWh, dearest, hint));
        return;
    }
    (of_price ? *of_price : *prices)
        .refuse_value("electricity_per_kWh", "is more than three times the price of the dearest filter",
                       fmt::format("up to {:g}, three times that price", 3.0 * dearest), hint);
}

// Where a change costs nothing there is no interval of least cost.
void refuse_free_changes(const StudyReading& reading, const StudyInput& study) {
    const PricesInput& prices = study.prices;
    if (!prices.electricity) return;
    const double each = prices.labour_per_change ? prices.labour_per_change->value.value() : 0.0;
    const double disposal = prices.disposal_per_filter ? prices.disposal_per_filter->value.value() : 0.0;
    if (each + disposal > 0.0) return;
    for (const CandidateInput& candidate : study.candidates) {
        double sum = 0.0;
        bool known = true;
        for (const StageInput& stage : candidate.stages) {
            for (const FilterInput& filter : study.filters) {
                if (filter.name != stage.filter) continue;
                known = known && filter.price.has_value();
                sum += filter.price ? filter.price->value.value() : 0.0;
            }
        }
        if (!known || sum > 0.0) continue;
        throw DataError(
            reading.price_places.at(candidate.stages.front().filter),
            fmt::format("a change of '{}' would cost nothing: price, labour and disposal are 0 or not stated",
                        candidate.name),
            "write what the filter costs, or labour_per_change in [prices]; leave price out if it is not known");
    }
}

}   // namespace choose_filter
