// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <cstddef>

#include <fmt/format.h>

#include <filterflow/core/common_year.hpp>

#include "report_candidate.hpp"
#include "report_html_table.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

/// "working days, 17 to 20 h, June to September".
std::string window_words(const TariffWindow& window) {
    using filterflow::detail::month_names;
    std::string words = window.days == TariffDays::working_days ? "working days"
                        : window.days == TariffDays::weekend    ? "weekend"
                                                                : "every day";
    if (window.first_hour != 0 || window.end_hour != 24) {
        words += fmt::format(", {} to {} h", window.first_hour, window.end_hour);
    }
    if (window.first_month != 1 || window.last_month != 12) {
        words += fmt::format(", {} to {}", month_names[static_cast<std::size_t>(window.first_month - 1)],
                             month_names[static_cast<std::size_t>(window.last_month - 1)]);
    }
    return words;
}

}   // namespace

std::string hours_and_prices_html(const StudyInput& study, const SystemResult& system) {
    const double p = study.coverage_probability;
    std::string html;
    for (const SystemInput& input : study.systems) {
        if (input.name != system.name || !input.operating_hours) continue;
        const DustSchedule& schedule = input.operating_hours->schedule;
        html += fmt::format("<p>By its schedule the fan runs {} h a year",
                            significant_text(schedule.running_time() / units::h, 4));
        if (const auto e = estimate(input.dust_concentration, units::ug_per_m3, p)) {
            html += fmt::format(", with {} µg/m³ of dust in its air in the mean of these hours",
                                html_text(estimate_text(*e)));
        }
        html +=
            ". Months between changes are those of the calendar, as many as the same dust takes from the first of a "
            "month on.</p>\n";
    }
    if (system.electricity && study.prices.electricity) {
        const SystemElectricity& paid = *system.electricity;
        const auto price = [&](const Uncertain<EnergyPrice>& x) {
            return cell(or_dash(estimate(x, units::money_per_kWh.one.value(), p)));
        };
        const auto share_of = [](double share) { return cell(significant_text(100.0 * share, 3)); };
        html += table_start("What electricity costs",
                            std::string("Prices by the hour, and how much of the fan’s use falls under each: ") +
                                (paid.hours_known ? "by the hours in which it runs."
                                                  : "as if it ran evenly through the year, for want of its hours."),
                            {"Hours", "Price [" + currency_name(study) + " per kWh]", "Share of use [%]"});
        for (std::size_t k = 0; k < study.prices.time_of_use.size(); ++k) {
            const TimeOfUsePrice& period = study.prices.time_of_use[k];
            html += row_head(window_words(period.window)) + price(period.price) + share_of(paid.shares.windows[k]) +
                    "</tr>\n";
        }
        html += row_head("all other hours") + price(*study.prices.electricity) + share_of(paid.shares.base) +
                "</tr>\n" + row_head("mean, which the costs count") + price(paid.price) + share_of(1.0) + "</tr>\n" +
                table_end();
    }
    if (study.prices.demand) {
        if (const auto e = estimate(*study.prices.demand, units::money_per_kW.one.value(), p)) {
            html += fmt::format(
                "<p>Demand charge: {} {} for each kilowatt of a month’s greatest power. It is counted as if the fan "
                "ran when "
                "the meter finds that power, at the power that its filters then call for, in the mean of where in a "
                "month "
                "changes fall; running longer for the same air adds nothing to it.</p>\n",
                html_text(estimate_text(*e)), html_text(currency_name(study)));
        }
    }
    if (study.prices.carbon) {
        if (const auto e = estimate(*study.prices.carbon, 1e-3 / units::kWh.one.value(), p)) {
            html += fmt::format("<p>Carbon dioxide: {} g for each kWh, as stated.</p>\n", html_text(estimate_text(*e)));
        }
    }
    if (study.prices.years_of_service) {
        html +=
            "<p>Years of service: filters are paid when they are put in, the first at the start; of the last ones the "
            "unused share counts back at the end. Energy is paid at the end of each year. How often a stage is changed "
            "is "
            "that of equal service.</p>\n";
    }
    if (study.prices.change_penalty) {
        html += fmt::format(
            "<p>Earliest and latest change: between them the yearly cost exceeds that of the interval named by no more "
            "than {} %, so that changes may wait for the next round.</p>\n",
            estimate_text(exact(100.0 * *study.prices.change_penalty)));
    }
    return html;
}

}   // namespace choose_filter
