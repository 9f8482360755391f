// SPDX-License-Identifier: BSL-1.0

#include "report_corrections.hpp"

namespace choose_filter {

std::string Corrections::column() const {
    if (tare && air) return "corrected";
    if (tare) return "tare taken off";
    if (air) return "with the stand’s own resistance";
    return "not corrected";
}

std::string Corrections::words(const std::string& standard_air) const {
    const std::string to = standard_air.empty() ? "the declared standard air" : standard_air;
    if (tare && air)
        return "The stand’s own resistance is taken off at each reading’s flow, the rest brought to " + to + ".";
    if (tare) {
        return "The stand’s own resistance is taken off at each reading’s flow. The air of the tests was not stated: "
               "nothing "
               "is corrected for density and viscosity, the readings are taken to be in " +
               to + ".";
    }
    if (air) {
        return "No empty stand was read: the pressures still contain the stand’s own resistance. They are brought to " +
               to + ".";
    }
    return "Nothing is corrected: no empty stand was read, so the pressures contain the stand’s own resistance, and "
           "the air "
           "of the tests was not stated, so they are taken to be in " +
           to + ".";
}

Corrections corrections(const filterflow::StudyInput& study, const filterflow::StudyResult& result) {
    return {result.stand && result.stand->tare, study.stand && study.stand->air};
}

}   // namespace choose_filter
