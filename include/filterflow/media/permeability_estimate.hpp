// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a permeability model answers: the number, and how the medium stands to the range that the model is stated for.

#include <filterflow/core/units.hpp>
#include <filterflow/media/range_status.hpp>

namespace filterflow {

/// A permeability by a model, with the model's range beside it. The number is what the equation gives, inside the range
/// or not.
template <class T>
struct BasicPermeabilityEstimate {
    BasicPermeability<T> permeability;   ///< > 0
    RangeStatus packing;                 ///< solidity of fibres, voidage of grains
    RangeStatus diameter;                ///< of fibres or grains, in metres

    /// Whether the medium lies inside all that the model is stated for.
    constexpr bool inside() const { return packing.inside() && diameter.inside(); }
};
using PermeabilityEstimate = BasicPermeabilityEstimate<double>;

}   // namespace filterflow
