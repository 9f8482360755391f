// SPDX-License-Identifier: BSL-1.0
// The program of the README: two readings make a filter's curve, a fan and its ducts take it. Invented numbers of the
// Tern Lane Arts Centre.

#include <array>
#include <cstdio>

#include <filterflow/airflow.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState air = moist_air({.temperature = from_celsius(21), .pressure = 99 * kPa, .relative_humidity = 0.45});
    const std::array readings{ElementReading{800 * cfm, 35 * Pa, air}, ElementReading{1600 * cfm, 82 * Pa, air}};
    const ElementFit filter = fit_element(readings, fan_table_air());
    const FanCurve fan = fan_curve({.points = {{800 * cfm, 1.1 * inH2O, 560 * W}, {1200 * cfm, 0.95 * inH2O, 640 * W},
                                               {1600 * cfm, 0.62 * inH2O, 700 * W}, {2000 * cfm, 0.1 * inH2O, 720 * W}},
                                    .kind = FanPressureKind::external_static, .stated_air = fan_table_air()});
    const SystemCurve ducts = system_from_design_point({.flow = 1500 * cfm, .pressure = 0.4 * inH2O, .air = air});
    const OperatingPoint point = operating_point(fan, in_series(ducts, filter.curve), air);
    std::printf("airflow %.0f cfm, fan power %.0f W; of %.2f inH2O the filter takes %.2f\n", point.flow() / cfm,
                *point.power() / W, point.pressure() / inH2O, pressure_drop(filter.curve, point.flow(), air) / inH2O);
}
