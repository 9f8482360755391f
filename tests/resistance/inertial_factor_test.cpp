// SPDX-License-Identifier: BSL-1.0
// Inertial factors of layers and the Reynolds numbers beside them.

#include <cmath>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/inertial_factor.hpp>

#include "support/any_number.hpp"
#include "resistance/bench_air.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::AnyNumber;
using filterflow::test::ReferenceTable;
using filterflow::test::sweep_length;

namespace {

GranularMedium bed(double diameter, double voidage, double sphericity = 1.0) {
    return {.thickness = 25 * mm, .grain_diameter = diameter * m, .voidage = voidage, .sphericity = sphericity};
}

}   // namespace

TEST_CASE("Ward's factor is his coefficient over the root of the permeability", "[own]") {
    CHECK(ward_inertial_factor(1e-10 * m2, ward_granular_coefficient) / per_m == Approx(5.5e4).epsilon(1e-14));
    CHECK(ward_inertial_factor(4e-10 * m2, 0.1) / per_m == Approx(5e3).epsilon(1e-14));
    CHECK(ward_inertial_factor(1e-10 * m2, 0.0) / per_m == 0.0);
    using D = Dual<2>;
    const D b = ward_inertial_factor(BasicPermeability<D>::from_value(D::input(1e-10, 0)), D::input(0.1, 1)).value();
    CHECK(b.derivative[0] == Approx(-0.5 * 1e4 / 1e-10).epsilon(1e-13));
    CHECK(b.derivative[1] == Approx(1e5).epsilon(1e-13));
    CHECK_THROWS_WITH(ward_inertial_factor(0 * m2, 0.1), Contains("ward_inertial_factor: permeability = 0 m2"));
    CHECK_THROWS_WITH(ward_inertial_factor(1e-10 * m2, -0.1), Contains("coefficient = -0.1"));
}

TEST_CASE("Ergun's factor in the form of a friction factor", "[own]") {
    // f = 150/Re + 1.75 with dp = f rho v^2 L (1 - e)/(e^3 d), Re over (1 - e): what remains of it as Re grows.
    const double v = 0.8, d = 2e-3, e = 0.42, phi = 0.9;
    const double reynolds = grain_reynolds_number(bed(d, e, phi), v * m_per_s, air);
    CHECK(reynolds == Approx(1.204 * v * phi * d / (air.viscosity.value() * (1 - e))).epsilon(1e-14));
    const double share = 1.75 / (150.0 / reynolds + 1.75);
    const double viscous = air.viscosity.value() * v /
                           permeability_estimate(bed(d, e, phi), GranularPermeability::ergun).permeability.value();
    const double inertial = 1.204 * v * v * ergun_inertial_factor(bed(d, e, phi)).value();
    CHECK(inertial / (viscous + inertial) == Approx(share).epsilon(1e-13));
    CHECK_THROWS_WITH(ergun_inertial_factor(bed(d, 0.61)), Contains("voidage = 0.61; required: from 0.3 to 0.6"));
    CHECK_THROWS_AS(ergun_inertial_factor(bed(0.0, 0.4)), DomainError);
    using D = Dual<1>;
    const BasicGranularMedium<D> medium{BasicLength<D>::from_value(D(0.025)), BasicLength<D>::from_value(D(2e-3)),
                                        D::input(0.42, 0)};
    const double difference = (ergun_inertial_factor(bed(2e-3, 0.42001)) / per_m -
                               ergun_inertial_factor(bed(2e-3, 0.41999)) / per_m) / 2e-5;
    CHECK(ergun_inertial_factor(medium).value().derivative[0] == Approx(difference).epsilon(1e-8));
}

TEST_CASE("Reynolds numbers and the ranges they judge", "[own]") {
    const double at = fibre_reynolds_number(20 * um, 0.5 * m_per_s, air);
    CHECK(at == Approx(1.204 * 0.5 * 20e-6 / air.viscosity.value()).epsilon(1e-14));
    CHECK(fibre_reynolds_number(20 * um, -0.5 * m_per_s, air) == at);
    CHECK(darcy_range(at).inside());
    CHECK(darcy_range(1.5).crossed == RangeLimit::greatest);
    CHECK(darcy_range(1.5).beyond == Approx(0.5));
    CHECK(ergun_range(2300).inside());
    CHECK(ergun_range(2760).beyond == Approx(0.2));
    CHECK(ergun_range(0).inside());
    CHECK_THROWS_AS(darcy_range(-1), DomainError);
    CHECK_THROWS_AS(ergun_range(std::nan("")), DomainError);
    CHECK_THROWS_WITH(fibre_reynolds_number(0 * um, 1 * m_per_s, air), Contains("fibre_diameter = 0 m"));
    CHECK_THROWS_AS(fibre_reynolds_number(1 * um, NAN * m_per_s, air), DomainError);
    CHECK_THROWS_AS(fibre_reynolds_number(1 * um, 1 * m_per_s, AirState{}), DomainError);
    CHECK_THROWS_AS(grain_reynolds_number(bed(1e-3, 1.0), 1 * m_per_s, air), DomainError);
    CHECK_THROWS_AS(grain_reynolds_number(bed(1e-3, 0.4), INFINITY * m_per_s, air), DomainError);
}

TEST_CASE("inertia of any number is finite or an error", "[own]") {
    AnyNumber any(13);
    std::size_t answers = 0, tries = 0;
    const auto look_at = [&](auto&& call) {
        ++tries;
        try {
            const double x = call();
            CHECK((x >= 0.0 && std::isfinite(x)));
            ++answers;
        } catch (const DomainError&) {
        }
    };
    for (std::size_t i = 0; i < sweep_length(10000); ++i) {
        AirState any_air = air;
        any_air.density = any() * kg_per_m3;
        any_air.viscosity = any() * Pa_s;
        const GranularMedium medium{any() * m, any() * m, any.share(), any.share()};
        const Velocity v = any() * m_per_s;
        look_at([&] { return ward_inertial_factor(any() * m2, any()) / per_m; });
        look_at([&] { return ergun_inertial_factor(medium) / per_m; });
        look_at([&] { return grain_reynolds_number(medium, v, any_air); });
        look_at([&] { return fibre_reynolds_number(any() * m, v, any_air); });
    }
    INFO(answers << " of " << tries);
    CHECK(answers > tries / 5);
}
