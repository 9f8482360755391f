// SPDX-License-Identifier: BSL-1.0

#include "report_inputs.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_corrections.hpp"
#include "report_estimate.hpp"
#include "report_html.hpp"
#include "report_html_table.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::string millimetres(Length length) { return significant_text(length / units::mm, 3); }

template <class T, class Text>
std::string or_not_stated(const std::optional<T>& value, const Text& text) {
    return value ? text(*value) : "–";
}

std::string filters_table(const StudyInput& study) {
    std::string rows;
    for (const FilterInput& filter : study.filters) {
        std::string face;
        if (filter.width && filter.height) {
            face = fmt::format("{} x {} ({} x {} in)", millimetres(*filter.width), millimetres(*filter.height),
                               significant_text(*filter.width / units::inch, 3),
                               significant_text(*filter.height / units::inch, 3));
        }
        if (filter.free_area) {
            face +=
                fmt::format("{}{} m² open", face.empty() ? "" : ", ", significant_text(filter.free_area->value(), 3));
        }
        rows += row_head(filter.name) + text_cell(face.empty() ? "–" : face) +
                cell(or_not_stated(filter.depth, millimetres)) +
                cell(or_not_stated(filter.pleat_count, [](std::size_t n) { return std::to_string(n); })) +
                cell(or_not_stated(filter.media_area, [](Area a) { return significant_text(a.value(), 3); })) +
                cell(or_not_stated(estimate(filter.price, 1.0, study.coverage_probability),
                                   [](const Estimate& e) { return estimate_text(e); })) +
                text_cell(or_not_stated(filter.claimed_life, [](Time t) { return months_text(t / units::month); })) +
                "</tr>\n";
    }
    if (rows.empty()) return "";
    return table_start(
               "Filters tested",
               "As stated in the study; a dash where it says nothing. Depth, pleats and media area are those of an "
               "opened filter or of the package; the claimed life is what the package says, in calendar time.",
               {"Filter", "|Face [mm]", "Depth [mm]", "Pleats", "Media area [m²]",
                "Price [" + currency_name(study) + "]", "|Claimed life"}) +
           rows + table_end();
}

const char* pressure_kind_words(FanPressureKind kind) {
    switch (kind) {
        case FanPressureKind::total: return "total";
        case FanPressureKind::static_pressure: return "static";
        case FanPressureKind::external_static: return "external static";
        case FanPressureKind::not_stated: return "unspecified";
    }
    return "–";
}

std::string fan_row(const std::string& of, const FanTable& fan, const FanDescription& description,
                    const std::string& control) {
    const bool power = !fan.points.empty() && fan.points.front().power.has_value();
    return row_head(of) + text_cell(control) +
           text_cell(fan.points.empty() ? "no fan table"
                                        : fmt::format("{} pressure, {} rows{}", pressure_kind_words(fan.kind),
                                                      fan.points.size(), power ? ", with power" : ", without power")) +
           text_cell(description.speed_tap.empty() ? "–" : description.speed_tap) +
           text_cell(description.motor ? motor_words(*description.motor) : "–") + "</tr>\n";
}

std::string fans_table(const StudyInput& study) {
    std::string rows;
    if (study.stand && study.stand->fan) {
        rows += fan_row("test stand", *study.stand->fan, study.stand->fan_description, "fixed speed");
    }
    bool torque = false;
    for (const SystemInput& system : study.systems) {
        rows += fan_row(system.name, system.fan, system.fan_description, control_words(system.control));
        torque = torque || system.fan_description.motor == MotorKind::constant_torque;
    }
    if (rows.empty()) return "";
    std::string html = table_start("Fans", "The fan tables as stated. A table holds for one speed tap and one motor.",
                                   {"Fan of", "|Control", "|Table", "|Speed tap", "|Motor"}) +
                       rows + table_end();
    if (torque) {
        html +=
            "<p class=\"small\">A motor of constant torque speeds up as resistance rises: its table holds at the tap "
            "and "
            "air at which it was taken, and scaling it with density is an approximation.</p>\n";
    }
    return html;
}

std::string rooms_table(const StudyInput& study) {
    std::string rows;
    const auto concentration = [&](const std::optional<Uncertain<MassConcentration>>& c) {
        return or_not_stated(estimate(c, units::ug_per_m3, study.coverage_probability),
                             [](const Estimate& e) { return estimate_text(e); });
    };
    for (const SystemInput& system : study.systems) {
        if (!system.room) continue;
        const RoomInput& room = *system.room;
        rows += row_head(system.name) + cell(significant_text(room.volume.value(), 4)) +
                cell(or_not_stated(room.outdoor_air,
                                   [](VolumeFlow q) { return significant_text(q / units::m3_per_h, 3); })) +
                cell(or_not_stated(room.infiltration, [](Rate a) { return significant_text(a / units::per_h, 3); })) +
                text_cell(room.penetration    ? significant_text(100.0 * *room.penetration, 3) + " %"
                          : room.infiltration ? "by size, as in two houses"
                                              : "–") +
                cell(concentration(room.outdoor_pm25)) + cell(concentration(room.outdoor_pm10)) + "</tr>\n";
    }
    if (rows.empty()) return "";
    return table_start(
               "Rooms served",
               "As stated in the study; a dash where it says nothing. Outdoor air comes through the "
               "filters with the fan, infiltration through cracks; penetration is the share of the particles that "
               "passes these.",
               {"Room of", "Volume [m³]", "Outdoor air [m³/h]", "Infiltration [1/h]", "|Penetration",
                "PM2.5 outdoors [µg/m³]", "PM10 outdoors [µg/m³]"}) +
           rows + table_end();
}

}   // namespace

const char* control_words(FanControl control) {
    return control == FanControl::fixed_speed ? "fixed speed" : "holds airflow";
}

const char* motor_words(MotorKind motor) {
    switch (motor) {
        case MotorKind::induction: return "induction";
        case MotorKind::constant_torque: return "electronically commutated, constant torque";
        case MotorKind::constant_airflow: return "electronically commutated, constant airflow";
    }
    return "–";
}

std::string inputs_html(const StudyInput& study, const StudyResult& result) {
    const std::string filters = filters_table(study);
    const std::string fans = fans_table(study) + rooms_table(study);
    const std::string html = (filters.empty() ? "" : filters) + (fans.empty() ? "" : "<h3>Fans</h3>\n" + fans) +
                             claims_html(study, result);
    return "<section id=\"inputs\">\n<h2>Filters tested</h2>\n" +
           (html.empty() ? std::string("<p class=\"absent\">The study states no filter and no fan.</p>\n") : html) +
           "</section>\n";
}

}   // namespace choose_filter
