// SPDX-License-Identifier: BSL-1.0
// Filters put in order by peak counts: half a gram of mineral test dust on each, a counter in the box below.
//
// The readings are invented: pleats on the bench of the Tern Lane Arts Centre, which does not exist. Each filter had
// two runs with a fresh specimen, and there were two runs without any. dust_test_caution() goes with every such test.
#include <cstdio>
#include <string>
#include <vector>

#include <filterflow/capture.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Reading {
    double dose, peak, background;   // g; particles in 6 s; particles in 60 s before
};

PeakCountFilter filter(std::string name, double flow, const std::vector<Reading>& readings) {
    PeakCountFilter result{std::move(name), {}};
    for (const Reading& r : readings) {
        result.runs.push_back({.dose = r.dose * g, .peak_count = r.peak, .sample_time = 6 * s,
                               .background_count = r.background, .background_time = 60 * s,
                               .flow = flow * m3_per_h, .feed_time = 10 * s});
    }
    return result;
}

/// Words in lines of a comment.
void print_wrapped(const std::string& text) {
    std::size_t start = 0;
    while (text.size() - start > 110) {
        const std::size_t end = text.rfind(' ', start + 110);
        std::printf("# %s\n", text.substr(start, end - start).c_str());
        start = end + 1;
    }
    std::printf("# %s\n", text.substr(start).c_str());
}

void print(const PeakCountOrder& order) {
    std::printf("# place, net count of the peak (95 %%), filter\n");
    for (const PeakCountFigure& f : order.filters) {
        const std::string place = !f.rank                           ? "-"
                                  : f.rank->best == f.rank->worst ? std::to_string(f.rank->best)
                                                                  : std::to_string(f.rank->best) + "-" +
                                                                        std::to_string(f.rank->worst);
        std::printf("%-4s %6.0f %6.0f %6.0f  \"%s\"\n", place.c_str(), f.net_count, f.interval.lower, f.interval.upper,
                    f.name.c_str());
    }
    std::printf("\n");
    for (const PeakCountFigure& f : order.filters) {
        for (const auto& [what, ratio] : {std::pair{"relative", f.relative_penetration},
                                          std::pair{"corrected for the box", f.corrected_penetration}}) {
            if (!ratio) continue;
            std::printf("# %s: penetration %s %.1f %% (%.1f to %.1f)\n", f.name.c_str(), what, 100 * ratio->value,
                        100 * ratio->interval.lower, 100 * ratio->interval.upper);
        }
        for (const std::string& note : f.notes) std::printf("# %s: %s\n", f.name.c_str(), note.c_str());
    }
    for (const PeakCountRefusal& r : order.refused)
        std::printf("# refused, %s: %s\n", r.what.c_str(), r.reason.c_str());
    for (const std::string& text : order.rests_on) std::printf("# rests on %s\n", text.c_str());
    for (const std::string& text : order.would_help) std::printf("# would help: %s\n", text.c_str());
}

}   // namespace

int main() {
    print_wrapped(dust_test_caution());
    std::printf("#\n# invented data: Tern Lane Arts Centre\n");
    PeakCountTest test;
    test.range = sizes_above(0.5 * um);
    test.filters = {filter("1-inch polyester pad", 42, {{0.50, 6210, 22}, {0.51, 5480, 25}}),
                    filter("2-inch pleat, coarse", 41, {{0.50, 3320, 19}, {0.49, 3710, 28}}),
                    filter("2-inch pleat, charged", 40, {{0.51, 902, 24}, {0.50, 1065, 30}}),
                    filter("2-inch pleat, charged, washed", 40, {{0.50, 1880, 27}, {0.50, 1590, 26}}),
                    filter("4-inch glass pack", 40, {{0.50, 11, 31}, {0.50, 15, 24}})};
    test.loss = CounterLoss{.dead_time = 60e-6 * s};
    std::printf("#\n# ---- order alone\n");
    print(peak_count_order(test));

    test.without_filter = filter("no filter", 43, {{0.50, 8320, 21}, {0.50, 7610, 25}});
    std::printf("\n\n# ---- with runs without a filter\n");
    print(peak_count_order(test));

    test.box_volume = 120 * litre;
    std::printf("\n\n# ---- and with the volume of the box\n");
    print(peak_count_order(test));
}
