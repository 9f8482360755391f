// SPDX-License-Identifier: BSL-1.0
// The filter check of a design tool that embeds the library: plain numbers in, plain numbers and a sentence out, no
// exception across the border. The tool, its building and all its numbers are invented (Tern Lane Arts Centre).
// Starved airflow overheats furnaces (carbon monoxide) and motors and ices coils: the equipment's nameplate goes first.

#include <array>
#include <cstdio>
#include <exception>
#include <future>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/resistance/element_fit.hpp>

// ---- What the host program declares (its header knows nothing of the library) ---------------------------------------

namespace host {

struct CurvePoint {
    double flow_cfm = 0.0, pressure_inH2O = 0.0;
    double power_W = 0.0;   // fan points only
};

struct Equipment {
    std::vector<CurvePoint> filter_points;   // as the filter's data sheet has them
    std::vector<CurvePoint> fan_points;      // external static pressure and electric power
    double air_degF = 70.0, air_kPa = 101.325, relative_humidity = 0.4;
};

struct Ducts {
    double design_flow_cfm = 0.0, design_pressure_inH2O = 0.0;
    double least_flow_cfm = 0.0;   // of the equipment's nameplate
};

enum class Outcome {
    answered,    // the numbers hold
    no_answer,   // a physical outcome without numbers: the message says which
    refused,     // an input is outside its range: the message names it
    failed       // anything else, memory among it
};

struct Answer {
    Outcome outcome = Outcome::failed;
    std::string message;
    double flow_cfm = 0.0, filter_drop_inH2O = 0.0, fan_power_W = 0.0;   // where answered
};

}   // namespace host

// ---- The border: the only source of the host program that includes the library --------------------------------------

namespace {

using namespace filterflow;
using namespace filterflow::units;

/// What one piece of equipment has once and for all: built by one thread, asked by any number of them.
class FilterCheck {
public:
    explicit FilterCheck(const host::Equipment& equipment)
        : air_(moist_air({.temperature = from_fahrenheit(equipment.air_degF),
                          .pressure = equipment.air_kPa * kPa,
                          .relative_humidity = equipment.relative_humidity})),
          filter_(fit_element(readings_of(equipment.filter_points), fan_table_air())),
          fan_(fan_curve(table_of(equipment.fan_points))) {}

    host::Answer answer(const host::Ducts& ducts) const {
        const SystemCurve system =
            in_series(system_from_design_point({.flow = ducts.design_flow_cfm * cfm,
                                                .pressure = ducts.design_pressure_inH2O * inH2O,
                                                .air = fan_table_air()}),
                      filter_.curve);
        const OperatingFlow point = operating_flow(fan_, system, air_);
        const std::string status(status_text(point.status));
        if (!point.flow) return {.outcome = host::Outcome::no_answer, .message = status};
        host::Answer answer{.outcome = host::Outcome::answered,
                            .message = status,
                            .flow_cfm = *point.flow / cfm,
                            .filter_drop_inH2O = pressure_drop(filter_.curve, *point.flow, air_) / inH2O,
                            .fan_power_W = *fan_power(fan_, *point.flow, air_) / W};
        if (extrapolates(filter_, *point.flow)) answer.message += "; outside the flows of the filter's data sheet";
        if (*point.flow < ducts.least_flow_cfm * cfm) answer.message += "; LESS AIR THAN THE NAMEPLATE REQUIRES";
        return answer;
    }

private:
    static std::vector<ElementReading> readings_of(const std::vector<host::CurvePoint>& points) {
        std::vector<ElementReading> readings;
        for (const host::CurvePoint& p : points) {
            readings.push_back({p.flow_cfm * cfm, p.pressure_inH2O * inH2O, fan_table_air()});
        }
        return readings;
    }
    static FanTable table_of(const std::vector<host::CurvePoint>& points) {
        FanTable table{.kind = FanPressureKind::external_static,
                       .stated_air = fan_table_air(),
                       .power_kind = FanPowerKind::electric};
        for (const host::CurvePoint& p : points) {
            table.points.push_back({p.flow_cfm * cfm, p.pressure_inH2O * inH2O, p.power_W * W});
        }
        return table;
    }

    AirState air_;
    ElementFit filter_;
    FanCurve fan_;
};

/// Runs a calculation for the host: nothing that it throws gets any further.
template <class Calculation>
host::Answer guarded(const Calculation& calculation) noexcept {
    try {
        return calculation();
    } catch (const DomainError& error) {
        return {.outcome = host::Outcome::refused, .message = error.what()};
    } catch (const NoSolution& error) {
        return {.outcome = host::Outcome::no_answer, .message = error.what()};
    } catch (const std::exception& error) {
        return {.outcome = host::Outcome::failed, .message = error.what()};
    }
}

}   // namespace

namespace host {

Answer check_filter(const Equipment& equipment, const Ducts& ducts) noexcept {
    return guarded([&] { return FilterCheck(equipment).answer(ducts); });
}

/// Many duct designs for one piece of equipment, by two threads that share what was built once.
std::vector<Answer> check_filter(const Equipment& equipment, const std::vector<Ducts>& designs) {
    std::optional<FilterCheck> check;
    const Answer built = guarded([&] {
        check.emplace(equipment);
        return Answer{.outcome = Outcome::answered, .message = {}};
    });
    std::vector<Answer> answers(designs.size(), built);
    if (!check) return answers;
    const auto part = [&](std::size_t first) {
        for (std::size_t i = first; i < designs.size(); i += 2) {
            answers[i] = guarded([&] { return check->answer(designs[i]); });
        }
    };
    const std::future<void> half = std::async(std::launch::async, part, 1);
    part(0);
    half.wait();
    return answers;
}

}   // namespace host

// ---- The host program -----------------------------------------------------------------------------------------------

namespace {

void print(const char* what, const host::Answer& a) {
    constexpr std::array words{"answered", "no answer", "refused", "failed"};
    std::printf("%-20s %s: %s\n", what, words[static_cast<std::size_t>(a.outcome)], a.message.c_str());
    if (a.outcome != host::Outcome::answered) return;
    std::printf("%-20s %.0f cfm, filter %.2f inH2O, fan %.0f W\n", "", a.flow_cfm, a.filter_drop_inH2O, a.fan_power_W);
}

}   // namespace

int main() {
    const host::Equipment equipment{
        .filter_points = {{600, 0.09}, {1000, 0.19}, {1400, 0.31}, {1800, 0.45}},
        .fan_points = {{800, 1.10, 560}, {1200, 0.95, 640}, {1600, 0.62, 700}, {2000, 0.10, 720}}};
    const host::Ducts ducts{.design_flow_cfm = 1500, .design_pressure_inH2O = 0.4, .least_flow_cfm = 1350};

    print("gallery", host::check_filter(equipment, ducts));
    host::Equipment mistyped = equipment;
    mistyped.fan_points[2].flow_cfm = -1600;
    print("a mistyped fan table", host::check_filter(mistyped, ducts));
    host::Equipment celsius = equipment;
    celsius.air_degF = 70 + 459.67;
    print("Rankine, not degF", host::check_filter(celsius, ducts));

    std::printf("\nthe gallery's ducts narrowed and widened, by two threads\n");
    std::vector<host::Ducts> designs;
    for (const double factor : {0.05, 0.5, 1.0, 2.0, 20.0}) {
        designs.push_back(ducts);
        designs.back().design_pressure_inH2O *= factor;
    }
    const std::vector<host::Answer> answers = host::check_filter(equipment, designs);
    for (std::size_t i = 0; i < designs.size(); ++i) {
        char name[32];
        std::snprintf(name, sizeof name, "%.2f inH2O", designs[i].design_pressure_inH2O);
        print(name, answers[i]);
    }
}
