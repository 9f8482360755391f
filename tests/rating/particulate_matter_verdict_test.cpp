// SPDX-License-Identifier: BSL-1.0
#include <cmath>

#include <filterflow/capture/single_fibre_filter.hpp>
#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/rating/particulate_matter_verdict.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Efficiencies for PM1, PM2.5, PM10 as delivered and discharged.
WeightedAverages weighted_draw(std::array<double, 3> before, std::array<double, 3> after, double weight) {
    return {{}, weight, before, after};
}

BandEstimate made_of(std::vector<WeightedAverages> draws) {
    BandEstimate estimate;
    estimate.draws = std::move(draws);
    return estimate;
}

const ParticulateMatterVerdict& verdict_on(const ParticulateMatterVerdicts& verdicts, ParticulateMatterGroup group,
                                           int percent) {
    for (const ParticulateMatterVerdict& verdict : verdicts.classes) {
        if (verdict.group == group && verdict.percent == percent) return verdict;
    }
    throw std::runtime_error("no such class");
}

}   // namespace

TEST_CASE("draws fall into the groups and classes of ISO 16890", "[own]") {
    // By hand: the average of both states rounded down to 5 %, in the finest group whose minimum is 50 %.
    using Group = ParticulateMatterGroup;
    const auto verdicts = particulate_matter_verdicts(
        made_of({weighted_draw({0.62, 0.80, 0.95}, {0.40, 0.52, 0.90}, 0.40),    // ePM2.5 66 %
                 weighted_draw({0.62, 0.86, 0.95}, {0.40, 0.58, 0.90}, 0.20),    // ePM2.5 72 %
                 weighted_draw({0.40, 0.60, 0.90}, {0.20, 0.40, 0.82}, 0.30),    // ePM10 86 %: ePM2.5,min below 50 %
                 weighted_draw({0.80, 0.90, 0.99}, {0.55, 0.70, 0.97}, 0.093),   // ePM1 67.5 %
                 weighted_draw({0.99, 0.99, 0.99}, {0.97, 0.98, 0.99}, 0.005),   // ePM1 above 95 %
                 weighted_draw({0.10, 0.20, 0.50}, {0.10, 0.15, 0.40}, 0.002)}));   // coarse
    CHECK(verdict_on(verdicts, Group::pm25, 65).probability == Approx(0.40));
    CHECK(verdict_on(verdicts, Group::pm25, 70).probability == Approx(0.20));
    CHECK(verdict_on(verdicts, Group::pm10, 85).probability == Approx(0.30));
    CHECK(verdict_on(verdicts, Group::pm1, 65).probability == Approx(0.093));
    CHECK(verdict_on(verdicts, Group::pm1, 100).probability == Approx(0.005));
    CHECK(verdict_on(verdicts, Group::coarse, 0).probability == Approx(0.002));
    CHECK(verdict_on(verdicts, Group::pm25, 65).verdict == ClassVerdict::likely);
    CHECK(verdict_on(verdicts, Group::pm10, 85).verdict == ClassVerdict::likely);   // 0.40 alone is not two thirds
    CHECK(verdict_on(verdicts, Group::pm25, 70).verdict == ClassVerdict::possible);
    CHECK(verdict_on(verdicts, Group::pm1, 100).verdict == ClassVerdict::excluded);
    CHECK(verdict_on(verdicts, Group::coarse, 0).verdict == ClassVerdict::excluded);   // 0.7 % with the one above
    CHECK(verdicts.groups[2].probability == Approx(0.60));
    CHECK(verdicts.groups[2].at_least == Approx(0.698));
    CHECK(verdicts.groups[0].at_least == Approx(1.0));
    CHECK(verdicts.groups[2].verdict == ClassVerdict::likely);
    CHECK(verdicts.groups[1].verdict == ClassVerdict::likely);
    CHECK(verdicts.groups[3].verdict == ClassVerdict::possible);
    CHECK(verdicts.groups[0].verdict == ClassVerdict::excluded);
    double total = 0.0;
    for (const ParticulateMatterVerdict& verdict : verdicts.classes) total += verdict.probability;
    CHECK(total == Approx(1.0));
    CHECK(verdicts.classes.size() == 34);
    CHECK(particulate_matter_verdict_text(verdicts, 1.5 * m_per_s) ==
          "group by particulate matter: likely ISO ePM10, ISO ePM2.5; possible ISO ePM1; excluded ISO Coarse; class: "
          "likely ISO ePM10 85 %, ISO ePM2.5 65 %; possible ISO ePM2.5 70 %, ISO ePM1 65 %; every other excluded "
          "(taking the discharged state from theory, not from a test): estimate from bench data by ISO 16890-1:2016 at "
          "1.50 m/s (295 fpm), not a rating");
}

TEST_CASE("classes that are improbable one by one are not all excluded", "[own]") {
    // Five classes of 0.9 % each: excluding all of them would exclude 4.5 %.
    std::vector<WeightedAverages> draws{weighted_draw({0.9, 0.9, 0.9}, {0.9, 0.9, 0.9}, 0.955)};
    for (int k = 0; k < 5; ++k) {
        const double e = 0.53 + 0.05 * k;
        draws.push_back(weighted_draw({e, e, e}, {e, e, e}, 0.009));
    }
    const auto verdicts = particulate_matter_verdicts(made_of(draws));
    std::size_t possible = 0;
    for (const auto& verdict : verdicts.classes) possible += verdict.verdict == ClassVerdict::possible ? 1U : 0U;
    CHECK(possible == 4);   // one of 0.9 % is excluded, two would hold 1.8 %
    CHECK_THAT(particulate_matter_verdict_text(verdicts, 1 * m_per_s), Contains("possible ISO ePM1 50 % to 65 %;"));
    // A group that is excluded leaves none of its classes possible: 0.6 % of ePM2.5 and 0.6 % of other ePM10.
    const auto two = particulate_matter_verdicts(made_of({weighted_draw({0.4, 0.4, 0.72}, {0.4, 0.4, 0.72}, 0.988),
                                                          weighted_draw({0.4, 0.4, 0.77}, {0.4, 0.4, 0.77}, 0.006),
                                                          weighted_draw({0.4, 0.52, 0.77}, {0.4, 0.52, 0.77}, 0.006)}));
    CHECK(two.groups[2].verdict == ClassVerdict::excluded);
    CHECK(verdict_on(two, ParticulateMatterGroup::pm25, 50).verdict == ClassVerdict::excluded);
    CHECK(verdict_on(two, ParticulateMatterGroup::pm10, 70).verdict == ClassVerdict::likely);
}

TEST_CASE("a medium known exactly gets the class of its curves, with its charge and without", "[own]") {
    // Second method: the efficiencies of the medium in the twelve ranges, classed as measured curves are.
    const AirState air = duct_design_air();
    CapturePrior prior = typical_capture_prior();
    prior.kinds = {{"felt", 1.0, {1 * mm, 1 * mm}, {0.08, 0.08}, {8 * um, 8 * um}, {0.15 * m_per_s, 0.15 * m_per_s},
                    1.0, {30 * uC_per_m2, 30 * uC_per_m2}}};
    prior.theory_factor = {1, 1};
    prior.theory_slope = {0, 0};
    prior.number_slope = {3, 3};
    prior.threshold_factor = {1, 1};
    prior.leak_share = {0, 0};
    prior.particle_density = {1500 * kg_per_m3, 1500 * kg_per_m3};
    prior.media = 100;
    prior.draws_per_medium = 1;
    const std::array<SizeRange, 2> bands{SizeRange{.lower = 0.5 * um, .upper = 2.5 * um}, sizes_above(2.5 * um)};
    const BandDraws draws = band_draws(bands, prior, air);
    FractionalEfficiency measured;
    for (std::size_t b = 0; b < 2; ++b) {
        measured.ranges.push_back(
            stated_efficiency(bands[b], uncertain(1 - draws.penetration[b], 0.02, range_text(bands[b]))));
    }
    const BandEstimate estimate = estimate_from_bands(measured, draws);
    REQUIRE(estimate.averages);
    FibreLayer layer{.medium = {.thickness = 1 * mm, .geometric_fibre_diameter = 8 * um, .solidity = 0.08},
                     .velocity = 0.15 * m_per_s,
                     .theory = {}};
    const auto curve = [&] {
        FractionalEfficiency result;
        for (const SizeRange& range : minimum_efficiency_size_ranges()) {
            const Particle particle{geometric_mean(range), 1500 * kg_per_m3};
            result.ranges.push_back(stated_efficiency(range, 1 - penetration(layer, particle, air)));
        }
        return result;
    };
    const FractionalEfficiency discharged = curve();
    layer.theory.electric = ElectricTerm::electret;
    layer.charge.surface_charge = 30 * uC_per_m2;
    const ParticulateMatterClass by_curves = particulate_matter_class(curve(), discharged);
    for (const WeightedAverages& draw : estimate.draws) {   // kept at 42 sizes: 1 % off in -ln P
        CHECK(draw.matter[0] == Approx(by_curves.ePM1_untreated->value).margin(6e-3));
        CHECK(draw.matter[1] == Approx(by_curves.ePM25_untreated->value).margin(6e-3));
        CHECK(draw.matter[2] == Approx(by_curves.ePM10_untreated->value).margin(6e-3));
        CHECK(draw.matter_discharged[0] == Approx(by_curves.ePM1_min->value).margin(6e-3));
        CHECK(draw.matter_discharged[1] == Approx(by_curves.ePM25_min->value).margin(6e-3));
    }
    CHECK(by_curves.ePM1_untreated->value > by_curves.ePM1_min->value + 0.1);   // the charge does most of the fine
    const ParticulateMatterVerdicts verdicts = particulate_matter_verdicts(estimate);
    for (const ParticulateMatterVerdict& verdict : verdicts.classes) {
        const bool coarse = verdict.group == ParticulateMatterGroup::coarse;
        const std::string name = coarse ? "" : detail::class_name(verdict.group, verdict.percent);
        CHECK(verdict.probability == Approx(name == by_curves.class_text ? 1.0 : 0.0).margin(1e-12));
    }
}

TEST_CASE("partial data of the standard's own ranges give verdicts where bounds give none", "[own]") {
    // Six of the twelve ranges, from 0.55 to 3 um: sizes below and above are open, so that bounds leave much open.
    const AirState air = duct_design_air();
    CapturePrior prior = typical_capture_prior();
    prior.media = 4096;
    prior.draws_per_medium = 8;
    const auto all = minimum_efficiency_size_ranges();
    const std::vector<SizeRange> bands(all.begin() + 2, all.begin() + 8);
    const std::array<double, 6> efficiencies{0.32, 0.40, 0.50, 0.62, 0.74, 0.83};
    FractionalEfficiency partial;
    for (std::size_t b = 0; b < bands.size(); ++b) {
        partial.ranges.push_back(stated_efficiency(bands[b], uncertain(efficiencies[b], 0.04, range_text(bands[b]))));
    }
    const ParticulateMatterClass bounded = particulate_matter_class(partial, partial);
    CHECK(bounded.class_text == "not determinable");
    const BandEstimate estimate = estimate_from_bands(partial, band_draws(bands, prior, air));
    INFO(estimate.refused);
    REQUIRE(estimate.averages);
    const ParticulateMatterVerdicts verdicts = particulate_matter_verdicts(estimate);
    CHECK(verdicts.groups[3].verdict == ClassVerdict::excluded);   // ePM1 of 50 % after discharge is out of reach
    CHECK(verdicts.groups[0].verdict == ClassVerdict::excluded);   // and nobody calls this coarse
    CHECK(verdicts.groups[1].probability + verdicts.groups[2].probability > 0.99);
    const MinimumEfficiencyVerdicts values = minimum_efficiency_verdicts(estimate);
    CHECK(values.values.front().verdict == ClassVerdict::excluded);
}

TEST_CASE("verdicts on particulate matter refuse a refused estimate", "[own]") {
    BandEstimate refused;
    refused.refused = "no medium of the prior gives these bands";
    CHECK_THROWS_WITH(particulate_matter_verdicts(refused),
                      Contains("particulate_matter_verdicts: the estimate was refused (no medium"));
}
