// SPDX-License-Identifier: BSL-1.0
#include <array>
#include <cmath>
#include <span>
#include <vector>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/particle/number_modes.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

namespace {

AmbientAerosol kind_of(const std::string& name) {
    if (name == "rural") return AmbientAerosol::rural;
    if (name == "marine") return AmbientAerosol::marine;
    if (name == "remote continental") return AmbientAerosol::remote_continental;
    return AmbientAerosol::urban;
}

}   // namespace

TEST_CASE("modes of the open air", "[outside]") {
    // tests/reference/ambient_modes.csv: Jaenicke 1993, as Seinfeld and Pandis 2006, Table 8.3; its digits were read in
    // a copy, not in the book.
    const ReferenceTable table("ambient_modes.csv");
    REQUIRE(table.size() == 12);
    for (const auto& row : table) {
        const NumberMode mode =
            ambient_modes(kind_of(row["type"])).at(static_cast<std::size_t>(row.number("mode")) - 1);
        CHECK(mode.concentration / per_cm3 == Approx(row.number("N_cm3")).epsilon(1e-12));
        CHECK(mode.median / um == Approx(row.number("D_number_median_um")).epsilon(1e-12));
        CHECK(std::log10(mode.geometric_standard_deviation) == Approx(row.number("log10_sigma_g")).epsilon(1e-12));
    }
    // The table's number of urban particles, 136 810 per cm3.
    CHECK(number_concentration(ambient_modes(AmbientAerosol::urban)) / per_cm3 == Approx(1.3682e5).epsilon(1e-3));
}

TEST_CASE("volume of the modes computed apart", "[own]") {
    for (const auto& row : ReferenceTable("ambient_modes.csv")) {
        const NumberMode mode =
            ambient_modes(kind_of(row["type"])).at(static_cast<std::size_t>(row.number("mode")) - 1);
        const std::vector<NumberMode> alone{mode};
        CHECK(volume_concentration(alone) * 1e12 == Approx(row.number("volume_um3_cm3")).epsilon(1e-3));
        const SizeDistribution d = weighted_by(number_distribution("one", alone), SizeWeighting::volume);
        CHECK(d.modes[0].median / um == Approx(row.number("volume_median_um")).epsilon(1e-3));
    }
    const auto urban = ambient_modes(AmbientAerosol::urban), rural = ambient_modes(AmbientAerosol::rural);
    CHECK(volume_concentration(urban) * 1e12 == Approx(99.17).epsilon(1e-3));
    CHECK(volume_concentration(rural) * 1e12 == Approx(23.25).epsilon(2e-3));
    // V/S of the modes and the mean size by volume over surface: d = 6 V/S.
    CHECK(mean_size(number_distribution("urban", urban), SizeWeighting::volume, SizeWeighting::surface).value() ==
          Approx(6 * volume_concentration(urban) / surface_concentration(urban).value()).epsilon(1e-12));
}

TEST_CASE("derivatives of what modes hold", "[own]") {
    // Second method: central differences of the double functions.
    using D = Dual<3>;
    const auto plain = [](double number, double median, double deviation) {
        std::vector<NumberMode> modes = ambient_modes(AmbientAerosol::rural);
        modes[1] = {number * per_cm3, median * um, deviation};
        return std::array{surface_concentration(modes).value(), volume_concentration(modes) * 1e12,
                          number_distribution("", modes).modes[1].weight, number_concentration(modes) / per_cm3};
    };
    std::vector<BasicNumberMode<D>> modes;
    for (const NumberMode& mode : ambient_modes(AmbientAerosol::rural)) {
        modes.push_back({BasicNumberConcentration<D>::from_value(D(mode.concentration.value())),
                         BasicLength<D>::from_value(D(mode.median.value())), D(mode.geometric_standard_deviation)});
    }
    constexpr double number = 147, median = 0.054, deviation = 1.9;
    modes[1] = {BasicNumberConcentration<D>::from_value(D(1e6) * D::input(number, 0)),
                BasicLength<D>::from_value(D(1e-6) * D::input(median, 1)), D::input(deviation, 2)};
    const std::span<const BasicNumberMode<D>> all(modes);
    const std::array<D, 4> dual{surface_concentration(all).value(), D(1e12) * volume_concentration(all),
                                number_distribution("", all).modes[1].weight,
                                D(1e-6) * number_concentration(all).value()};
    const double change = 1e-6;
    const std::array<double, 3> at{number, median, deviation};
    const auto changed = [&](std::size_t input, double by) {
        std::array<double, 3> x = at;
        x[input] *= 1 + by;
        return plain(x[0], x[1], x[2]);
    };
    for (std::size_t k = 0; k < 4; ++k) {
        const double value = plain(number, median, deviation)[k];
        CHECK(dual[k].value == Approx(value).epsilon(1e-13));
        for (std::size_t i = 0; i < 3; ++i) {
            INFO("result " << k << ", input " << i);
            CHECK(dual[k].derivative[i] * at[i] ==
                  Approx((changed(i, change)[k] - changed(i, -change)[k]) / (2 * change))
                      .epsilon(1e-6)
                      .margin(1e-9 * value));
        }
    }
}

TEST_CASE("modes that are none are refused", "[own]") {
    std::vector<NumberMode> modes = ambient_modes(AmbientAerosol::rural);
    modes[1].geometric_standard_deviation = 0.9;
    CHECK_THROWS_WITH(volume_concentration(modes), Contains("geometric_standard_deviation = 0.9"));
    modes = ambient_modes(AmbientAerosol::rural);
    modes[0].concentration = -1 * per_cm3;
    CHECK_THROWS_WITH(number_concentration(modes), Contains("concentration"));
    CHECK_THROWS_WITH(number_distribution("none", {}), Contains("number of all modes"));
}
