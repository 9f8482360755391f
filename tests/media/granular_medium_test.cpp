// SPDX-License-Identifier: BSL-1.0
// Permeability of layers of grains.

#include <cmath>
#include <random>

#include <filterflow/media.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/any_number.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::AnyNumber;
using filterflow::test::ReferenceTable;
using filterflow::test::sweep_length;

namespace {

using enum GranularPermeability;

GranularMedium bed(double diameter, double voidage, double sphericity = 1.0) {
    return {.thickness = 1 * m, .grain_diameter = diameter * m, .voidage = voidage, .sphericity = sphericity};
}

double k_of(const GranularMedium& medium, GranularPermeability model) {
    return permeability_estimate(medium, model).permeability / m2;
}

}   // namespace

TEST_CASE("water through a bed of resin spheres", "[outside]") {
    // de Nevers, example 11.1, worked there in feet and pounds. The result is read, the inputs are from memory; they
    // reproduce both printed results.
    const ReferenceTable checks("media_checks.csv");
    const double foot = 1 * ft / m;
    const double density = 62.3 * lb_per_ft3 / kg_per_m3;
    const double viscosity = 1.002e-3;
    const double diameter = 0.03 * inch / m;
    const double head = density * 32.2 * foot * 1.25 * foot;   // of the water over the bed's outlet, Pa
    const double velocity = k_of(bed(diameter, 0.33), ergun) * head / (viscosity * foot);
    CHECK(velocity / foot == Approx(checks.row("id", "resin_bed_velocity").number("expected_value")).epsilon(0.002));
    CHECK(density * velocity * diameter / (viscosity * (1 - 0.33)) ==
          Approx(checks.row("id", "resin_bed_reynolds").number("expected_value")).epsilon(0.002));
}

TEST_CASE("both equations in other forms", "[own]") {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> voidage(0.05, 0.95), exponent(-6.0, -2.0), round(0.3, 1.0);
    for (std::size_t i = 0; i < sweep_length(1000); ++i) {
        const double d = std::pow(10.0, exponent(random)), e = voidage(random), phi = round(random);
        const double surface = 6.0 / (phi * d);   // of grains per volume of grains
        CHECK(k_of(bed(d, e, phi), kozeny_carman) ==
              Approx(e * e * e / (5.0 * surface * surface * (1 - e) * (1 - e))).epsilon(1e-13));
        CHECK(k_of(bed(d, e, phi), ergun) == Approx(1.2 * k_of(bed(d, e, phi), kozeny_carman)).epsilon(1e-13));
        CHECK(k_of(bed(d, e * 1.01, phi), ergun) > k_of(bed(d, e, phi), ergun));
    }
}

TEST_CASE("derivatives of a bed's permeability are its differences", "[own]") {
    using D = Dual<3>;
    const BasicGranularMedium<D> medium{.thickness = BasicLength<D>::from_value(D(0.1)),
                                        .grain_diameter = BasicLength<D>::from_value(D::input(1e-3, 0)),
                                        .voidage = D::input(0.4, 1),
                                        .sphericity = D::input(0.8, 2)};
    for (const GranularPermeability model : {kozeny_carman, ergun}) {
        const D k = permeability_estimate(medium, model).permeability.value();
        CHECK(k.value == Approx(k_of(bed(1e-3, 0.4, 0.8), model)).epsilon(1e-15));
        CHECK(k.derivative[0] == Approx(2.0 * k.value / 1e-3).epsilon(1e-13));
        const double difference = (k_of(bed(1e-3, 0.40001, 0.8), model) - k_of(bed(1e-3, 0.39999, 0.8), model)) / 2e-5;
        CHECK(k.derivative[1] == Approx(difference).epsilon(1e-8));
        CHECK(k.derivative[2] == Approx(2.0 * k.value / 0.8).epsilon(1e-13));
    }
}

TEST_CASE("beds outside a range are flagged, impossible ones refused", "[own]") {
    CHECK(permeability_estimate(bed(1e-3, 0.4), ergun).inside());
    const PermeabilityEstimate loose = permeability_estimate(bed(1e-3, 0.9), kozeny_carman);
    CHECK(loose.packing.quantity == "voidage");
    CHECK(loose.packing.crossed == RangeLimit::greatest);
    CHECK(loose.packing.beyond == Approx(0.9 / 0.7 - 1.0));
    CHECK(permeability_estimate(bed(1e-3, 0.15), ergun).packing.crossed == RangeLimit::least);
    CHECK(permeability_estimate(bed(1e-3, 0.15), ergun).packing.beyond == Approx(0.5));

    CHECK_THROWS_WITH(permeability_estimate(bed(1e-3, 1.0), ergun),
                      Contains("voidage = 1; required: between 0 and 1, exclusive"));
    CHECK_THROWS_AS(permeability_estimate(bed(1e-3, 0.0), ergun), DomainError);
    CHECK_THROWS_AS(permeability_estimate(bed(1e-3, std::nan("")), ergun), DomainError);
    CHECK_THROWS_WITH(permeability_estimate(bed(0.0, 0.4), ergun), Contains("grain_diameter = 0 m"));
    CHECK_THROWS_WITH(permeability_estimate(bed(1e-3, 0.4, 1.1), ergun), Contains("sphericity = 1.1"));
    CHECK_THROWS_WITH(permeability_estimate(bed(1e-3, 0.4), static_cast<GranularPermeability>(7)),
                      Contains("model = 7"));
    GranularMedium none = bed(1e-3, 0.4);
    none.thickness = -1 * mm;
    CHECK_THROWS_WITH(permeability_estimate(none, ergun), Contains("thickness = -0.001 m"));
}

TEST_CASE("grains of any number give a permeability above zero or an error", "[own]") {
    AnyNumber any(12);
    std::size_t answers = 0;
    const std::size_t media = sweep_length(20000);
    for (std::size_t i = 0; i < media; ++i) {
        const GranularMedium medium{any() * m, any() * m, any.share(), any.share()};
        for (const GranularPermeability model : {kozeny_carman, ergun}) {
            try {
                const double k = k_of(medium, model);
                CHECK((k > 0.0 && std::isfinite(k)));
                ++answers;
            } catch (const DomainError&) {
            }
        }
    }
    INFO(answers << " of " << 2 * media);
    CHECK(answers > 2 * media / 5);
}
