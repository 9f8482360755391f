// SPDX-License-Identifier: BSL-1.0

#include "report_class_probabilities.hpp"

#include <algorithm>

#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::string range_of_classes(const std::string& lowest, const std::string& highest) {
    return lowest == highest ? lowest : lowest + " to " + highest;
}

}   // namespace

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

std::string allowed_text(const MinimumEfficiencyRating& rating) {
    if (!rating.probabilities.empty()) return class_chances_text(rating.probabilities);
    if (!rating.lowest || !rating.highest) return "";
    return range_of_classes(std::to_string(*rating.lowest), std::to_string(*rating.highest));
}

std::string allowed_text(const ParticulateMatterClass& matter) {
    if (!matter.probabilities.empty()) return class_chances_text(matter.probabilities);
    if (!matter.lowest_class.empty()) return range_of_classes(matter.lowest_class, matter.highest_class);
    return matter.highest_class.empty() ? "" : "at most " + matter.highest_class;
}

}   // namespace choose_filter
