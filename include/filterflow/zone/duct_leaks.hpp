// SPDX-License-Identifier: BSL-1.0
#pragma once

// Ducts that leak to the outdoors while the fan runs: filtered air that is lost, and outdoor air that is drawn in
// before the filter or past it. A leak into the room itself is no leak here.

#include <optional>

#include <filterflow/airflow/duct_leakage.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Leakage of a recirculating system's ducts to and from the outdoors (attic, crawl space), while its fan runs.
template <class T>
struct BasicDuctLeaks {
    BasicVolumeFlow<T> supply_lost{};            ///< filtered air that leaves the supply ducts, >= 0
    BasicVolumeFlow<T> return_before_filter{};   ///< outdoor air drawn into the return ducts and filtered, >= 0
    BasicVolumeFlow<T> return_after_filter{};    ///< outdoor air drawn in between filter and fan, not filtered, >= 0
};
using DuctLeaks = BasicDuctLeaks<double>;

/// Leaky ducts by class and surface, with the pressures in them.
struct LeakyDucts {
    std::optional<DuctLeakage> supply{};          ///< between fan and registers, to the outdoors; absent: tight
    Pressure supply_pressure{};                   ///< in it above the outdoors, >= 0
    std::optional<DuctLeakage> return_duct{};     ///< between grilles and filter, from the outdoors; absent: tight
    std::optional<DuctLeakage> filter_to_fan{};   ///< between filter and fan, from the outdoors; absent: tight
    Pressure return_suction{};                    ///< in the return duct below the outdoors, >= 0
    Pressure suction_after_filter{};              ///< between filter and fan below the outdoors, >= 0
};

/// Leakage flows of ducts, for a room they serve: the link from the airflow to the room. Flows of a leak known by a
/// point and an exponent (leakage_flow), or of a solved network's leaks, are put into DuctLeaks as they are.
///
/// Equation: as duct_leakage_flow, for each duct at its pressure difference
/// Symbols:  as duct_leakage_flow
/// Validity: as duct_leakage_flow; one mean pressure a duct
/// @param  ducts  leakage class, surface and pressure difference of each
/// @return flows lost and drawn in [m3/s]
/// @throws DomainError as duct_leakage_flow
/// @source as duct_leakage_flow; test: zone/room_test.cpp
template <Deferred...>
inline DuctLeaks duct_leaks(const LeakyDucts& ducts) {
    DuctLeaks leaks;
    if (ducts.supply) leaks.supply_lost = duct_leakage_flow(*ducts.supply, ducts.supply_pressure);
    if (ducts.return_duct) leaks.return_before_filter = duct_leakage_flow(*ducts.return_duct, ducts.return_suction);
    if (ducts.filter_to_fan) {
        leaks.return_after_filter = duct_leakage_flow(*ducts.filter_to_fan, ducts.suction_after_filter);
    }
    return leaks;
}

}   // namespace filterflow
