// SPDX-License-Identifier: BSL-1.0
#pragma once

// Instruments and their readings. All readings of one instrument share its gain and its zero offset, so that
// these cancel in differences as far as they should; each reading has its own rounding to the resolution.
// Copies of an instrument are the same instrument.

#include <cmath>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// What is known of an instrument that reads a quantity Q.
template <class Q>
struct InstrumentData {
    std::string name;                ///< as a budget prints it: "manometer"
    double gain_uncertainty = 0.0;   ///< standard uncertainty of the scale, as a part of the reading, >= 0
    Q zero_uncertainty{};            ///< standard uncertainty of the zero offset, the same in all readings, >= 0
    Q resolution{};                  ///< step of the display, >= 0
};

using ManometerData = InstrumentData<Pressure>;
using FlowMeterData = InstrumentData<VolumeFlow>;
using AnemometerData = InstrumentData<Velocity>;

/// What an instrument reads.
enum class InstrumentQuantity {
    none,       ///< not stated: readings are taken as exact, and the result can say so
    pressure,   ///< a manometer
    flow,       ///< a flow meter
    velocity    ///< an anemometer
};

namespace detail {
template <class Q> struct InstrumentQuantityOf;
template <> struct InstrumentQuantityOf<Pressure> {
    static constexpr InstrumentQuantity value = InstrumentQuantity::pressure;
    static constexpr const char *unit = "Pa", *noun = "pressures";
};
template <> struct InstrumentQuantityOf<VolumeFlow> {
    static constexpr InstrumentQuantity value = InstrumentQuantity::flow;
    static constexpr const char *unit = "m3/s", *noun = "volume flows";
};
template <> struct InstrumentQuantityOf<Velocity> {
    static constexpr InstrumentQuantity value = InstrumentQuantity::velocity;
    static constexpr const char *unit = "m/s", *noun = "velocities";
};
}   // namespace detail

/// An instrument with its shared elementary inputs. Made by `instrument`; one made by default is exact.
class Instrument {
public:
    Instrument() = default;
    const std::string& name() const { return name_; }
    InstrumentQuantity quantity() const { return quantity_; }   ///< none: its readings are taken as exact

private:
    template <class Q> friend Instrument instrument(const InstrumentData<Q>& data);
    template <class Q> friend Uncertain<Q> reading(const Instrument& source, const Q& displayed);

    std::string name_;
    InstrumentQuantity quantity_ = InstrumentQuantity::none;
    InputHandle gain_;           // per unit of gain error; none where exact
    InputHandle zero_;           // in SI
    double resolution_ = 0.0;    // in SI
};

/// An instrument of pressures, volume flows or velocities.
///
/// Equation: true = displayed (1 + g) + z + e
/// Symbols:  g gain error and z zero offset (both shared by all readings), e rounding (one a reading)
/// Validity: errors small beside the readings
/// @param  data  name, relative gain uncertainty, zero uncertainty and resolution, each >= 0
/// @return the instrument
/// @throws DomainError if an uncertainty or the resolution is negative or not finite
/// @source JCGM 100:2008 (GUM), 4.3 and F.2.2; test: stand/instrument_test.cpp
template <class Q>
Instrument instrument(const InstrumentData<Q>& data) {
    constexpr auto where = "instrument";
    using Traits = detail::InstrumentQuantityOf<Q>;
    Instrument made;
    made.name_ = data.name;
    made.quantity_ = Traits::value;
    made.resolution_ = detail::require_non_negative(where, "resolution", data.resolution.value(), Traits::unit);
    const double gain = detail::require_non_negative(where, "gain_uncertainty", data.gain_uncertainty, "-");
    const double zero =
        detail::require_non_negative(where, "zero_uncertainty", data.zero_uncertainty.value(), Traits::unit);
    if (gain > 0.0) made.gain_ = elementary_input(data.name + " gain", gain);
    if (zero > 0.0) made.zero_ = elementary_input(data.name + " zero", zero);
    return made;
}

/// A displayed value as an uncertain one, with the instrument's shared gain and zero and its own rounding.
///
/// Equation: dx/dg = x, dx/dz = 1, u(e) = resolution/sqrt(12)
/// Symbols:  as instrument
/// Validity: as instrument
/// @param  source  instrument that displayed it; a default one is exact
/// @param  displayed  value on the display, finite
/// @return uncertain reading
/// @throws DomainError if the value is not finite or the instrument reads another quantity
/// @source JCGM 100:2008 (GUM), F.2.2.1 (rectangular distribution of the resolution); test: stand/instrument_test.cpp
template <class Q>
Uncertain<Q> reading(const Instrument& source, const Q& displayed) {
    constexpr auto where = "reading";
    using Traits = detail::InstrumentQuantityOf<Q>;
    const double x = detail::require_finite(where, "displayed", displayed.value(), Traits::unit);
    if (source.quantity_ != InstrumentQuantity::none && source.quantity_ != Traits::value) {
        throw DomainError(std::string(where) + ": instrument '" + source.name_ + "' does not read " +
                          Traits::noun + "; required: an instrument that does");
    }
    Gradient gradient;
    if (source.gain_) gradient.add(Gradient(source.gain_), x);
    if (source.zero_) gradient.add(Gradient(source.zero_), 1.0);
    if (source.resolution_ > 0.0) {
        gradient.add(Gradient(elementary_input(source.name_ + " resolution",
                                               source.resolution_ / std::sqrt(12.0))), 1.0);
    }
    return {displayed, std::move(gradient)};
}

/// Mean of repeated readings of one quantity; their scatter is an elementary input of its own.
///
/// Equation: mean = sum x_i/n; u = s/sqrt(n) with n - 1 degrees of freedom, s^2 = sum (x_i - mean)^2/(n - 1)
/// Symbols:  x readings, n their number, s standard deviation
/// Validity: independent repetitions; one reading is returned as it is. Rounding also shows in the scatter, so that
///           the result errs on the side of too large an uncertainty
/// @param  readings  repeated readings; shape (n), n >= 1
/// @param  name  of the scatter in a budget
/// @return mean with the readings' shared and own inputs and the scatter's
/// @throws DomainError if there is no reading
/// @source JCGM 100:2008 (GUM), 4.2.3; test: stand/instrument_test.cpp
template <class Q>
Uncertain<Q> mean_of_readings(const std::vector<Uncertain<Q>>& readings, const std::string& name) {
    const std::size_t n = readings.size();
    if (n == 0) detail::throw_domain_error("mean_of_readings", "number of readings", 0.0, "", "at least 1");
    if (n == 1) return readings.front();
    const double count = static_cast<double>(n);
    Uncertain<Q> mean;
    double sum = 0.0;
    for (const Uncertain<Q>& x : readings) {
        sum += detail::in_si(x.value);
        mean.gradient.add(x.gradient, 1.0 / count);
    }
    const double average = sum / count;
    double squares = 0.0;
    for (const Uncertain<Q>& x : readings) {
        const double deviation = detail::in_si(x.value) - average;
        squares += deviation * deviation;
    }
    mean.value = detail::from_si<Q>(average);
    if (squares > 0.0) {
        const double u = std::sqrt(squares / (count - 1.0) / count);
        mean.gradient.add(Gradient(elementary_input(name, u, count - 1.0)), 1.0);
    }
    return mean;
}

}   // namespace filterflow
