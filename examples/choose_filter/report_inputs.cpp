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

const FilterInput* filter_named(const StudyInput& study, const std::string& name) {
    const auto at = std::find_if(study.filters.begin(), study.filters.end(),
                                 [&](const FilterInput& f) { return f.name == name; });
    return at != study.filters.end() ? &*at : nullptr;
}

const CandidateInput* candidate_named(const StudyInput& study, const std::string& name) {
    const auto at = std::find_if(study.candidates.begin(), study.candidates.end(),
                                 [&](const CandidateInput& c) { return c.name == name; });
    return at != study.candidates.end() ? &*at : nullptr;
}

std::string months_text(double months) {
    return estimate_text({months, months, months}) + (months == 1.0 ? " month" : " months");
}

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

std::string claims_table(const StudyInput& study, const StudyResult& result) {
    std::string rows;
    std::vector<std::string> sentences;
    const auto claims = claimed_lives(study, result);
    for (const ClaimedLife& claim : claims) {
        rows += row_head(claim.candidate) + text_cell(claim.system) +
                cell(estimate_text({claim.claimed_months, claim.claimed_months, claim.claimed_months})) +
                cell(claim.forecast_months ? estimate_text(*claim.forecast_months) : "–") + "</tr>\n";
        if (!claim.sentence.empty()) sentences.push_back(typeset(claim.sentence));
    }
    if (rows.empty()) return "";
    return "<h3>Claimed life and forecast</h3>\n" +
           table_start(
               "Claimed life and forecast",
               "The change interval forecast for each candidate of one filter, in calendar time, beside the life that "
               "the package claims. The forecast holds for this system’s air, dust and limits.",
               {"Candidate", "|System", "Claimed [months]", "Forecast [months]"}) +
           rows + table_end() + list_html(sentences, "small");
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

std::vector<ClaimedLife> claimed_lives(const StudyInput& study, const StudyResult& result) {
    std::vector<ClaimedLife> claims;
    for (std::size_t s = 0; s < result.systems.size() && s < study.systems.size(); ++s) {
        const std::optional<Time>& hours = study.systems[s].hours_per_year;
        for (const CandidateResult& candidate : result.systems[s].candidates) {
            const CandidateInput* input = candidate_named(study, candidate.name);
            if (input == nullptr || input->stages.size() != 1) continue;
            const FilterInput* filter = filter_named(study, input->stages.front().filter);
            if (filter == nullptr || !filter->claimed_life) continue;
            ClaimedLife claim{result.systems[s].name,
                              candidate.name,
                              filter->name,
                              *filter->claimed_life / units::month,
                              std::nullopt,
                              false,
                              {}};
            if (hours && hours->value() > 0.0) {
                // Running hours in calendar months.
                const double month = units::month.one.value() * (*hours / units::year);
                if (const auto e = estimate(candidate.change_interval, month, study.coverage_probability)) {
                    claim.forecast_months = not_negative(*e);
                }
            }
            if (const auto& forecast = claim.forecast_months) {
                const double rounding = 1e-6 * claim.claimed_months;
                claim.differ = claim.claimed_months < forecast->lower - rounding ||
                               claim.claimed_months > forecast->upper + rounding;
                if (claim.differ) {
                    claim.sentence = fmt::format(
                        "The package of '{}' claims {}; in '{}' the forecast is {} months between changes ({}), {} "
                        "than claimed by "
                        "more than its interval.",
                        filter->name, months_text(claim.claimed_months), claim.system, estimate_text(*forecast),
                        candidate.change_interval_reason.substr(0, candidate.change_interval_reason.find("; ")),
                        claim.claimed_months > forecast->value ? "shorter" : "longer");
                }
            }
            claims.push_back(std::move(claim));
        }
    }
    return claims;
}

const ClaimedLife* claim_of(const std::vector<ClaimedLife>& claims, const std::string& system,
                            const std::string& candidate) {
    const auto at = std::find_if(claims.begin(), claims.end(), [&](const ClaimedLife& c) {
        return c.system == system && c.candidate == candidate;
    });
    return at != claims.end() ? &*at : nullptr;
}

std::size_t greatest_flow_index(const StudyResult& result) {
    std::size_t best = 0, most = 0;
    for (std::size_t q = 0; q < result.comparison_flows.size(); ++q) {
        const auto count = static_cast<std::size_t>(
            std::count_if(result.filters.begin(), result.filters.end(), [&](const FilterResult& filter) {
                return q < filter.pressure_at_flows.size() && filter.pressure_at_flows[q];
            }));
        if (count > most || (count == most && result.comparison_flows[q] > result.comparison_flows[best])) {
            best = q;
            most = count;
        }
    }
    return best;
}

std::string inputs_html(const StudyInput& study, const StudyResult& result) {
    const std::string filters = filters_table(study);
    const std::string fans = fans_table(study) + rooms_table(study);
    const std::string html = (filters.empty() ? "" : filters) + (fans.empty() ? "" : "<h3>Fans</h3>\n" + fans) +
                             claims_table(study, result);
    return "<section id=\"inputs\">\n<h2>Filters tested</h2>\n" +
           (html.empty() ? std::string("<p class=\"absent\">The study states no filter and no fan.</p>\n") : html) +
           "</section>\n";
}

std::string pressures_at_flows_html(const StudyInput& study, const StudyResult& result) {
    if (result.comparison_flows.empty()) return "";
    const Corrections done = corrections(study, result);
    std::vector<std::string> heads{"Filter"};
    for (const VolumeFlow& flow : result.comparison_flows) {
        heads.push_back(fmt::format("at {} m³/h ({} cfm): {} [Pa]", significant_text(flow / units::m3_per_h, 4),
                                    significant_text(flow / units::cfm, 4), done.column()));
        heads.push_back("as read there [Pa]");
    }
    Footnotes notes("flow-pressure-missing");
    std::string rows;
    for (const FilterResult& filter : result.filters) {
        rows += row_head(filter.name);
        for (std::size_t q = 0; q < result.comparison_flows.size(); ++q) {
            std::optional<Estimate> e;
            if (q < filter.pressure_at_flows.size()) {
                e = estimate(filter.pressure_at_flows[q], units::Pa, study.coverage_probability);
            }
            if (e) {
                rows += fmt::format("<td><span class=\"value\">{}</span><span class=\"second\">{} inH2O</span></td>",
                                    estimate_text(*e), estimate_text(scaled(*e, 1.0 / units::inH2O.one.value())));
            } else {
                rows += "<td>-" +
                        notes.reference(filter.curve ? "outside the flows of this filter’s readings; no extrapolation"
                                                     : "needs clean pressure readings with flows") +
                        "</td>";
            }
            const bool raw = q < filter.raw_pressure_at_flows.size() && filter.raw_pressure_at_flows[q];
            rows += cell(raw ? significant_text(filter.raw_pressure_at_flows[q]->value(), 3) : "-");
        }
        rows += "</tr>\n";
    }
    return table_start(
               "Pressures at common flows",
               "Pressure across each filter at common volume flows, from its fitted curve, and the raw readings "
               "interpolated to the same flow for contrast. " +
                   done.words(study.standard_air_name),
               heads) +
           rows + table_end() + notes.list();
}

std::string filters_csv(const StudyInput& study, const StudyResult& result) {
    std::vector<std::string> header{"filter",
                                    "width [m]",
                                    "height [m]",
                                    "free_area [m2]",
                                    "depth [m]",
                                    "pleat_count",
                                    "media_area [m2]",
                                    csv_text("price [" + currency_name(study) + "]"),
                                    "claimed_life [month]"};
    const auto pressure_columns = [&](const std::string& at) {
        for (const char* part : {"pressure", "pressure lower", "pressure upper", "raw_pressure"}) {
            header.push_back(fmt::format("{} at {} [Pa]", part, at));
        }
    };
    for (const Velocity& v : study.comparison_velocities) pressure_columns(significant_text(v.value(), 4) + " m/s");
    for (const VolumeFlow& q : result.comparison_flows) {
        pressure_columns(significant_text(q / units::m3_per_h, 5) + " m3/h");
    }
    std::string csv = joined(header, ",") + "\n";
    for (std::size_t f = 0; f < result.filters.size() && f < study.filters.size(); ++f) {
        const FilterInput& input = study.filters[f];
        const FilterResult& filter = result.filters[f];
        std::vector<std::string> row{csv_text(input.name)};
        const auto add = [&](const auto& value, double one) {
            row.push_back(value ? exact_text(detail::in_si(*value) / one) : "");
        };
        add(input.width, 1.0);
        add(input.height, 1.0);
        add(input.free_area, 1.0);
        add(input.depth, 1.0);
        row.push_back(input.pleat_count ? std::to_string(*input.pleat_count) : "");
        add(input.media_area, 1.0);
        row.push_back(input.price ? exact_text(input.price->value.value()) : "");
        add(input.claimed_life, units::month.one.value());
        const auto add_pressures = [&](std::size_t count, const auto& pressures, const auto& raw) {
            for (std::size_t i = 0; i < count; ++i) {
                std::optional<Estimate> e;
                if (i < pressures.size()) e = estimate(pressures[i], units::Pa, study.coverage_probability);
                row.push_back(e ? exact_text(e->value) : "");
                row.push_back(e ? exact_text(e->lower) : "");
                row.push_back(e ? exact_text(e->upper) : "");
                row.push_back(i < raw.size() && raw[i] ? exact_text(raw[i]->value()) : "");
            }
        };
        add_pressures(study.comparison_velocities.size(), filter.pressure_at_velocities,
                      filter.raw_pressure_at_velocities);
        add_pressures(result.comparison_flows.size(), filter.pressure_at_flows, filter.raw_pressure_at_flows);
        csv += joined(row, ",") + "\n";
    }
    return csv;
}

}   // namespace choose_filter
