// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

#include "report_corrections.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

std::string method_html(const StudyInput& study, const StudyResult& result) {
    std::string notes;
    const auto add = [&](const char* heading, const std::string& text) {
        notes += fmt::format("<p><b>{}.</b> {}</p>\n", html_text(heading), html_text(text));
    };
    const auto any_filter = [&](const auto& has) {
        return std::any_of(result.filters.begin(), result.filters.end(), has);
    };
    const bool flows = study.stand && study.stand->flow_method != StandFlowMethod::not_measured;
    if (flows) {
        const Corrections done = corrections(study, result);
        add("Stand",
            std::string("Each reading’s flow is found first") +
                (done.tare ? ", the tare (the empty stand, fitted to Δp = r Q + s Q²) is taken off at that flow"
                           : "; no tare is taken off, as no empty stand was read") +
                (done.air
                     ? ", then the viscous part is brought to the declared standard air by viscosity, the inertial "
                       "part by density."
                     : "; density and viscosity are not corrected, as the air of the tests was not stated.") +
                " Raw readings of a stand whose fan slows under load do not compare: each filter has another flow.");
    }
    if (study.stand && study.stand->flow_method == StandFlowMethod::flow_element) {
        add("Flow element",
            "Orifice, nozzle and Venturi equations of ISO 5167-1 to -4:2003; chamber and inlet nozzles by their "
            "stated coefficient (ANSI/ASHRAE 51, ISO 5801). Crossed limits are flagged under Stand.");
    }
    if (study.stand && study.stand->flow_method == StandFlowMethod::traverse) {
        add("Traverse", "Positions and weights of velocity traverses by ISO 3966.");
    }
    if (result.stand && result.stand->pressure_only) {
        add("Pressures alone",
            "All filters share one falling fan curve: the higher reading belongs to the higher resistance, and each "
            "net reading is a lower bound of the pressure at the empty stand’s flow (own derivation, conditions "
            "listed with the order).");
    }
    add("Uncertainty",
        fmt::format(
            "First-order propagation from the readings, with their instruments’ shared gain and zero, "
            "through every step (JCGM 100:2008, 5.1); intervals cover {:.4g} %, by Student’s t of the effective "
            "degrees of freedom. Lives, energies, costs and their differences, which do not change in proportion to "
            "the dust: shares of draws in which the dust goes through lives computed at many amounts of it. Two "
            "candidates tie where the interval "
            "of their difference contains zero.",
            100.0 * study.coverage_probability));
    if (any_filter([](const FilterResult& f) { return f.efficiency.has_value(); })) {
        add("Counts",
            "Penetration from alternating samples with background and correlation ratio, after the procedure of "
            "ANSI/ASHRAE 52.2-2017; its interval is the wider of the exact one for two Poisson counts (Garwood "
            "1936; Przyborowski and Wilenski 1940) and the spread between samples.");
    }
    if (any_filter([](const FilterResult& f) {
            return f.minimum_efficiency.has_value() || f.particulate_matter.has_value();
        })) {
        add("Classes",
            "Minimum-efficiency table of ANSI/ASHRAE 52.2-2017 on the composite minimum curve; particulate-matter "
            "classes of ISO 16890-1:2016 with its urban and rural distributions. Each is an estimate at the face "
            "velocity of the bench, not a rating.");
    }
    if (any_filter([](const FilterResult& f) { return f.loading.has_value(); })) {
        add("Loading",
            "Dust multiplies the viscous part: exponential while it settles inside the medium, then linear as a cake, "
            "fitted by weighted least squares with each reading’s own flow. Only readings that show the second "
            "stage give it a transition.");
    }
    if (!result.systems.empty()) {
        add("Fan and system",
            "Fan tables are interpolated by a monotone cubic (Fritsch and Butland 1984), scaled to the air at hand by "
            "density, never extrapolated; every crossing of fan and system is looked for, and the largest stable "
            "one is used.");
        add("Life",
            "Dust arrives with the airflow that the loaded filter lets through; the growth is integrated over the "
            "dust, "
            "to the first limit. The dust of a building is not test dust: hours scale with the stated equivalence.");
        add("Cost",
            "Equal service: fan energy is that of the running time which delivers the same air, with filters, labour "
            "and disposal at the change interval. The interval is the one of least cost unless a limit comes first.");
        add("Cleaning",
            "PM2.5 removed weights the efficiencies by the urban volume distribution of ISO 16890-1:2016 from 0.3 to "
            "2.5 µm, "
            "PM10 removed by its rural one from 0.3 to 10 µm. Sizes in between that were not counted widen the "
            "interval; "
            "what is smaller than 0.3 µm is outside the convention and in neither figure. ePM2.5 of the classes is "
            "another number: by the standard’s convention its last channel is taken whole, up to 3.0 µm. Clean air "
            "delivered is airflow times the lower of what new and discharged filters remove, where both were counted.");
    }
    std::string html = "<section id=\"method\">\n<h2>How it was computed</h2>\n";
    html += notes;
    std::vector<std::string> assumptions;
    for (const SystemInput& system : study.systems) {
        if (system.dust_equivalence && system.dust_equivalence_is_assumed) {
            const auto range = coverage_interval(*system.dust_equivalence);
            std::string ends = "no range was stated, so hours and costs look surer than they are";
            if (range.upper > range.lower) {
                ends = fmt::format("{} to {}, which widens hours and costs", significant_text(range.lower, 2),
                                   significant_text(range.upper, 2));
            }
            assumptions.push_back(
                fmt::format("{}: one gram of the building’s dust is assumed to load a filter like {} g of bench dust "
                            "({}; not measured here).",
                            system.name, significant_text(system.dust_equivalence->value, 3), ends));
        }
        if (!system.air) assumptions.push_back(system.name + ": no air was stated; the declared standard air is used.");
    }
    const bool gap = std::any_of(study.candidates.begin(), study.candidates.end(),
                                 [](const CandidateInput& c) { return c.bypass_gap.has_value(); });
    if (!study.candidates.empty() && !gap)
        assumptions.push_back("No gap around any filter was stated: none is assumed.");
    if (study.stand && !study.stand->leakage)
        assumptions.push_back("No leak test of the stand was given: no leakage is assumed.");
    if (!assumptions.empty()) html += "<h3>Assumed, not measured</h3>\n" + list_html(assumptions, "small");
    return html + "</section>\n";
}

}   // namespace choose_filter
