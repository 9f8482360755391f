// SPDX-License-Identifier: BSL-1.0
// Permeability of fibrous media. There are no published digits for these formulas: the equations are read, the
// numbers were worked out apart from this code.

#include <cmath>

#include <filterflow/media.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

TEST_CASE("permeability equals the tabulated models", "[own]") {
    const ReferenceTable table("permeability_models.csv");
    for (const ReferenceRow& row : table) {
        INFO("solidity " << row["solidity"]);
        const FibrousMedium medium{.thickness = 1 * mm,
                                   .effective_fibre_diameter = 1 * m,
                                   .geometric_fibre_diameter = 1 * m,
                                   .solidity = row.number("solidity")};
        CHECK(permeability(medium) / m2 == Approx(row.number("davies")).epsilon(1e-5));
        if (medium.solidity <= 0.25) {
            CHECK(ordered_permeability(medium) / m2 == Approx(row.number("kuwabara")).epsilon(1e-5));
        } else {
            CHECK_THROWS_AS(ordered_permeability(medium), DomainError);
        }
    }
}

TEST_CASE("Davies' correlation in its other notation gives the same pressure drop", "[own]") {
    // dp = 4 mu U L C/d^2 with C = 16 a^1.5 (1 + 56 a^3) (Tan 2014, equations 6.100 and 6.101); 104.336 Pa.
    const ReferenceTable checks("resistance_checks.csv");
    const double expected = checks.row("id", "A07").number("expected_value");
    const double a = 0.05, d = 5e-6, thickness = 2e-3, u = 0.1, mu = 1.81e-5;
    const double c = 16 * std::pow(a, 1.5) * (1 + 56 * a * a * a);
    const double other = 4 * mu * u * thickness * c / (d * d);
    const Permeability k =
        permeability(FibrousMedium{.thickness = 2 * mm, .effective_fibre_diameter = 5 * um, .solidity = a});
    CHECK(mu * thickness * u / (k / m2) == Approx(other).epsilon(1e-13));
    CHECK(other == Approx(expected).epsilon(1e-5));
}

TEST_CASE("slip lowers the drag of fine fibres", "[own]") {
    const double expected = ReferenceTable("resistance_checks.csv").row("id", "A20").number("expected_value");
    const auto factor = [](double knudsen, double solidity) {
        return slip_drag_factor(
            FibrousMedium{.thickness = 1 * mm, .geometric_fibre_diameter = 1 * um, .solidity = solidity},
            0.5 * knudsen * um);
    };
    CHECK(factor(0.132, 0.05) == Approx(expected).epsilon(1e-4));
    CHECK(factor(0.0132, 0.05) == Approx(0.9857).epsilon(1e-4));   // own numerical solution of the slip cell
    CHECK(factor(0.66, 0.05) == Approx(0.7566).epsilon(1e-4));
    CHECK(factor(1e-9, 0.05) == Approx(1.0).epsilon(1e-8));
}

TEST_CASE("derivatives of the permeability are those of the formula", "[own]") {
    using D = Dual<2>;
    const auto k = permeability(BasicFibrousMedium<D>{.thickness = BasicLength<D>::from_value(D(1e-3)),
                                                      .effective_fibre_diameter =
                                                          BasicLength<D>::from_value(D::input(2e-5, 0)),
                                                      .solidity = D::input(0.08, 1)}).value();
    CHECK(k.derivative[0] == Approx(2.0 * k.value / 2e-5).epsilon(1e-13));
    const double a = 0.08;   // d ln k/d a = -1.5/a - 168 a^2/(1 + 56 a^3)
    CHECK(k.derivative[1] == Approx(-k.value * (1.5 / a + 168 * a * a / (1 + 56 * a * a * a))).epsilon(1e-12));
}

TEST_CASE("media refuse what they cannot be", "[own]") {
    const FibrousMedium dense{.thickness = 1 * mm,
                              .effective_fibre_diameter = 10 * um,
                              .geometric_fibre_diameter = 8 * um,
                              .solidity = 0.4};
    CHECK_THROWS_WITH(permeability(dense), Contains("solidity = 0.4") && Contains("0.006 to 0.3"));
    CHECK_THROWS_AS(ordered_permeability(dense), DomainError);
    const FibrousMedium none{.thickness = 1 * mm, .effective_fibre_diameter = 0 * um, .solidity = 0.1};
    CHECK_THROWS_WITH(permeability(none), Contains("effective_fibre_diameter = 0 m; required: > 0"));
    const FibrousMedium no_number{.thickness = 1 * mm, .effective_fibre_diameter = 1 * um, .solidity = NAN};
    CHECK_THROWS_AS(permeability(no_number), DomainError);
    const FibrousMedium vanishing{.thickness = 1 * mm, .effective_fibre_diameter = 1e-200 * m, .solidity = 0.1};
    CHECK_THROWS_WITH(permeability(vanishing), Contains("result = 0 m2; required: > 0"));
    CHECK_THROWS_AS(kuwabara_factor(0.0), DomainError);
    CHECK_THROWS_AS(kuwabara_factor(0.3), DomainError);
    const FibrousMedium fine{.thickness = 1 * mm, .geometric_fibre_diameter = 0.1 * um, .solidity = 0.05};
    CHECK_THROWS_WITH(slip_drag_factor(fine, 0.066 * um), Contains("Knudsen number of the fibre = 1.32"));
}

TEST_CASE("a model takes the one diameter that it is for", "[own]") {
    const FibrousMedium effective{.thickness = 1 * mm, .effective_fibre_diameter = 5 * um, .solidity = 0.05};
    const FibrousMedium geometric{.thickness = 1 * mm, .geometric_fibre_diameter = 4 * um, .solidity = 0.05};
    FibrousMedium both = effective;
    both.geometric_fibre_diameter = 4 * um;
    CHECK(permeability(both).value() == permeability(effective).value());
    CHECK(ordered_permeability(both).value() == ordered_permeability(geometric).value());
    CHECK(slip_drag_factor(both, 0.066 * um) == slip_drag_factor(geometric, 0.066 * um));
    CHECK_THROWS_WITH(permeability(geometric),
                      Contains("permeability(FibrousMedium): effective_fibre_diameter is not given"));
    CHECK_THROWS_WITH(ordered_permeability(effective),
                      Contains("ordered_permeability: geometric_fibre_diameter is not given"));
    CHECK_THROWS_WITH(slip_drag_factor(effective, 0.066 * um),
                      Contains("slip_drag_factor: geometric_fibre_diameter is not given"));
}
