// SPDX-License-Identifier: BSL-1.0

#include "report_class_probabilities.hpp"

#include <algorithm>
#include <optional>

#include <filterflow/rating/minimum_efficiency_probability.hpp>
#include <filterflow/rating/particulate_matter_probability.hpp>

#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

std::vector<ClassProbability> minimum_efficiency_chances(const FilterResult& filter) {
    if (!filter.minimum_efficiency) return {};
    const MinimumEfficiencyRating& r = *filter.minimum_efficiency;
    if (!r.E1 || !r.E2 || !r.E3) return {};
    const std::optional<Uncertain<double>> arrestance =
        filter.loading ? filter.loading->average_arrestance : std::nullopt;
    return minimum_efficiency_probabilities({*r.E1, *r.E2, *r.E3}, arrestance);
}

std::vector<ClassProbability> particulate_matter_chances(const FilterResult& filter) {
    if (!filter.particulate_matter) return {};
    const ParticulateMatterClass& m = *filter.particulate_matter;
    if (!m.ePM1 || !m.ePM1_min || !m.ePM25 || !m.ePM25_min || !m.ePM10) return {};
    return particulate_matter_probabilities({*m.ePM1, *m.ePM1_min, *m.ePM25, *m.ePM25_min, *m.ePM10});
}

std::string class_chances_text(std::vector<ClassProbability> chances) {
    std::stable_sort(chances.begin(), chances.end(), [](const ClassProbability& a, const ClassProbability& b) {
        return a.probability > b.probability;
    });
    std::vector<std::string> texts;
    for (const ClassProbability& c : chances) {
        if (c.probability < 0.005) break;
        texts.push_back(c.name + ": " + (c.probability < 0.995 ? fixed_text(100.0 * c.probability, 0) : ">99") + " %");
    }
    return joined(texts);
}

}   // namespace choose_filter
