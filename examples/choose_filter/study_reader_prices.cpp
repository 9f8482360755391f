// SPDX-License-Identifier: BSL-1.0

#include "study_reader_parts.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace choose_filter {

using namespace filterflow;

void read_prices(const TomlTable& root, StudyInput& study) {
    const auto table = root.table("prices", "[prices]", study_keys("prices"));
    if (!table) return;
    PricesInput& prices = study.prices;
    if (const auto currency = table->text("currency")) prices.currency = *currency;
    if (const auto stated = table->stated_number("electricity_per_kWh")) {
        if (!(stated->value >= 1e-5 && stated->value <= 1e5)) {
            table->refuse_value("electricity_per_kWh", stated->value > 0.0 ? "is out of range" : "is not above 0",
                                "0.00001 to 100000 of the currency a kWh", "leave it out if it is not known");
        }
        table->refuse_wide("electricity_per_kWh", stated->value, stated->half_width);
        const EnergyPrice price = stated->value * units::money_per_kWh;
        prices.electricity =
            stated->half_width == 0.0
                ? Uncertain<EnergyPrice>(price)
                : uncertain(price, stated->half_width / normal_95 * units::money_per_kWh, "price of electricity");
    }
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
    prices.horizon = table->between<Time>("horizon", "1 day", "200 years");
}

// No currency makes a kWh cost as much as many filters: cents and dollars were mixed.
void check_electricity_price(const TomlTable& root, StudyInput& study) {
    if (!study.prices.electricity) return;
    double dearest = 0.0;
    for (const FilterInput& filter : study.filters) {
        if (filter.price) dearest = std::max(dearest, filter.price->value.value());
    }
    const double kWh = study.prices.electricity->value / units::money_per_kWh;
    if (!(dearest > 0.0) || kWh <= 0.3 * dearest) return;
    const std::string hint = "is it in cents, and the price of filters is not? Both are in the currency of the study";
    if (kWh <= 3.0 * dearest) {
        study.notes.push_back(
            fmt::format("a kWh costs {:g}, the dearest filter no more than {:g}: {}", kWh, dearest, hint));
        return;
    }
    root.table("prices", "[prices]", study_keys("prices"))
        ->refuse_value("electricity_per_kWh", "is more than three times the price of the dearest filter",
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
