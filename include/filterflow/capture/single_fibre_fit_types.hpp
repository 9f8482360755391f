// SPDX-License-Identifier: BSL-1.0
#pragma once

// What goes into a fit of fibres to a measured fractional efficiency, and what comes out.

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// Penetration measured at one size and velocity.
struct FibreReading {
    Length size{};                      ///< of the particles, > 0
    Velocity velocity{};                ///< superficial, through the medium, > 0
    double penetration = 0.0;           ///< downstream over upstream, >= 0
    double standard_uncertainty = 0.0;  ///< of the penetration, > 0
};

/// Readings and what is known beside them.
struct FibreFitInput {
    std::vector<FibreReading> readings;      ///< shape (n), more than parameters fitted
    Length thickness{};                      ///< of the medium, > 0
    SingleFibreTheory theory;                ///< choices; the charge is fitted with electret or kanaoka
    double fibre_permittivity = 2.2;         ///< relative, >= 1
    Density particle_density{};              ///< > 0
    std::optional<double> known_solidity = std::nullopt;        ///< then not fitted; 0.001 to 0.25
    std::optional<Length> known_fibre_diameter = std::nullopt;  ///< then not fitted; 0.05 to 1000 um
};

/// Whether the readings show a charge on the fibres.
enum class ChargeVerdict {
    not_asked,       ///< the theory takes no surface charge
    identified,      ///< no fit without charge does, and its uncertainty is less than half of it
    within_noise,    ///< a fit without charge is as good, at 95 % confidence: reported without charge
    not_separable    ///< the readings ask for one, but it trades against the other parameters
};

/// Text of a verdict.
///
/// Equation: none
/// Symbols:  none
/// Validity: any verdict
/// @param  verdict  of a fit
/// @return text to print
/// @throws nothing
/// @source definition; test: capture/single_fibre_fit_test.cpp
template <Deferred...>
inline std::string_view description(ChargeVerdict verdict) {
    switch (verdict) {
        case ChargeVerdict::not_asked: return "no charge asked for";
        case ChargeVerdict::identified: return "the readings show a charge";
        case ChargeVerdict::within_noise: return "fibres without charge fit as well";
        case ChargeVerdict::not_separable:
            return "a charge helps, but is not told apart from fibre diameter and solidity";
    }
    return "";
}

/// Fibres that agree with the readings.
struct FibreFit {
    FibreLayer layer;                         ///< medium, theory and charge; at the first reading's velocity
    Uncertain<Length> fibre_diameter;   ///< effective for capture: neither that of a microscope nor of pressure drop
    Uncertain<double> solidity;               ///< 0.001 to 0.25
    Uncertain<SurfaceCharge> surface_charge;  ///< >= 0
    std::array<double, 9> covariance{};       ///< diameter [m], solidity, charge [C/m2], row by row; 0 where not fitted
    ChargeVerdict charge_verdict = ChargeVerdict::not_asked;   ///< whether the charge can be told
    double charge_multiple_correlation = 0.0; ///< of the charge with the other parameters, 0 to 1 (1: not separable)
    double chi_squared = 0.0;                 ///< of the fit reported
    double chi_squared_without_charge = 0.0;  ///< of the best fit with no charge
    std::size_t degrees_of_freedom = 0;       ///< readings less parameters fitted
    double scatter_factor = 1.0;              ///< by which the covariance was raised, chi_squared over these, >= 1
    bool at_limit = false;                    ///< diameter or solidity ended at a limit of the search
    bool converged = false;                   ///< false: the step limit was met first
    int steps = 0;                            ///< taken by the fit reported
    std::vector<double> residuals;            ///< measured less fitted penetration; shape (n)
};

}   // namespace filterflow
