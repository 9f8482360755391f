// SPDX-License-Identifier: BSL-1.0
// Fuzzes the reader of studies. An input is a study file followed by the files that it names, each behind a line
// "=== name". Either a study comes out whose numbers are finite, or a DataError that points into one of the files.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "data_error.hpp"
#include "file_source.hpp"
#include "study_reader.hpp"

namespace {

using namespace filterflow;

[[noreturn]] void fail(const char* what, const std::string& detail) {
    std::fprintf(stderr, "study_reader: %s: %s\n", what, detail.c_str());
    std::abort();
}

choose_filter::MemoryFiles files_of(std::string_view input) {
    choose_filter::MemoryFiles files;
    std::string name = "study.toml", text;
    while (!input.empty()) {
        const std::size_t end = input.find('\n');
        const std::string_view line = input.substr(0, end);
        if (line.substr(0, 4) == "=== ") {
            files.add(name, text);
            name = std::string(line.substr(4));
            text.clear();
        } else {
            text.append(line);
            if (end != std::string_view::npos) text += '\n';
        }
        input.remove_prefix(end == std::string_view::npos ? input.size() : end + 1);
    }
    files.add(name, text);
    return files;
}

void require_not_negative(double value, const char* what) {
    if (!(std::isfinite(value) && value >= 0.0)) fail("a value that is negative or not finite", what);
}

void check_reading(const BenchReading& r) {
    require_not_negative(r.pressure.value(), "pressure");
    if (r.flow) require_not_negative(r.flow->value(), "flow");
    if (r.flow_element_pressure) require_not_negative(r.flow_element_pressure->value(), "element pressure");
    if (r.fan_pressure) require_not_negative(r.fan_pressure->value(), "fan pressure");
    for (const Velocity& v : r.traverse_velocities) require_not_negative(v.value(), "velocity");
}

void check_study(const StudyInput& study) {
    if (study.stand) {
        for (const BenchReading& r : study.stand->empty_stand) check_reading(r);
    }
    for (const FilterInput& filter : study.filters) {
        if (filter.name.empty()) fail("a filter without a name", "");
        if (filter.width) require_not_negative(filter.width->value(), "width");
        if (filter.height) require_not_negative(filter.height->value(), "height");
        if (filter.price) {
            require_not_negative(filter.price->value.value(), "price");
            require_not_negative(filter.price->standard_uncertainty().value(), "uncertainty of the price");
        }
        for (const BenchReading& r : filter.pressure_readings) check_reading(r);
        for (const LoadingReading& r : filter.loading_readings) {
            require_not_negative(r.dust_fed.value(), "dust fed");
            check_reading(r.reading);
        }
        for (const SizeRangeCounts& c : filter.counts) {
            for (const double n : c.upstream) require_not_negative(n, "count");
            for (const double n : c.downstream) require_not_negative(n, "count");
        }
    }
    for (const SystemInput& system : study.systems) {
        for (const FanPoint& p : system.fan.points) {
            require_not_negative(p.flow.value(), "fan flow");
            require_not_negative(p.pressure.value(), "fan pressure");
            if (p.power) require_not_negative(p.power->value(), "fan power");
        }
        if (system.dust_concentration) {
            require_not_negative(system.dust_concentration->value.value(), "dust concentration");
            require_not_negative(system.dust_concentration->standard_uncertainty().value(), "uncertainty of the dust");
        }
    }
}

}   // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string input(data, data + size);
    const choose_filter::MemoryFiles files = files_of(input);
    try {
        check_study(choose_filter::read_study("study.toml", files));
    } catch (const choose_filter::DataError& error) {
        const choose_filter::SourcePlace& place = error.place();
        if (error.problem().empty()) fail("an error without words", error.what());
        if (!files.read(place.path).found) fail("an error in a file that was not given", error.what());
        if (place.column > place.line_text.size() + 1) fail("an error behind the end of its line", error.what());
    }
    return 0;   // anything else that is thrown ends the program
}
