// SPDX-License-Identifier: BSL-1.0

#include "candidate_table.hpp"

#include <array>
#include <cmath>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/particle/size_distribution.hpp>

#include "choose_filter/report_text.hpp"
#include "table_cells.hpp"

namespace portfolio_study {

using choose_filter::DataError;

namespace {

struct LawWord {
    LoadingForm form;
    const char* word;
};
constexpr std::array<LawWord, 4> law_words{{{LoadingForm::smooth, "smooth"},
                                            {LoadingForm::kinked, "kinked"},
                                            {LoadingForm::exponential, "exponential"},
                                            {LoadingForm::linear, "linear"}}};

const std::vector<std::string>& candidate_columns() {
    static const std::vector<std::string> columns{
        "candidate",        "linear",       "quadratic",     "law",
        "growth scale",     "transition",   "cake growth",   "area",
        "known up to",      "dust caught",  "pm2.5 removal", "face area",
        "final resistance", "greatest age", "price",         "resistance within",
        "growth within"};
    return columns;
}

LoadingForm law_of(const CsvTable& table, std::size_t row) {
    const std::size_t column = table.column("law");
    const std::string& word = table.cell(row, column).text;
    std::vector<std::string> words;
    for (const LawWord& w : law_words) {
        if (word == w.word) return w.form;
        words.emplace_back(w.word);
    }
    table.refuse(row, column, "no loading law is called '" + choose_filter::shown_text(word) + "'",
                 choose_filter::name_hint(word, words, "laws"));
}

LoadingLaw loading_law(const CsvTable& table, std::size_t row) {
    LoadingLaw law;
    law.form = law_of(table, row);
    if (law.form != LoadingForm::linear) law.growth_scale = quantity<MassPerArea>(table, row, "growth scale");
    if (law.form == LoadingForm::smooth || law.form == LoadingForm::kinked) {
        law.transition = quantity<MassPerArea>(table, row, "transition", CellRange::not_negative);
    }
    if (law.form == LoadingForm::kinked || law.form == LoadingForm::linear) {
        law.cake_slope = 1.0 / quantity<MassPerArea>(table, row, "cake growth");
    }
    return law;
}

/// Half of the 95 % interval of an estimate over its value.
double half_interval(const Uncertain<double>& x) {
    const auto interval = coverage_interval(x, 0.95);
    return 0.5 * (interval.upper - interval.lower) / x.value;
}

/// A row of the table, or why there is none.
std::string row_of(const FilterInput& filter, const StageInput& stage, const FilterResult& bench,
                   const CandidateResult& candidate, std::string& reason) {
    const auto lacks = [&](const char* what) {
        reason = what;
        return std::string();
    };
    if (candidate.name.front() == '#') return lacks("its name begins as a comment does");
    if (!bench.curve) return lacks("its pressure was not read against flow");
    if (!bench.loading) return lacks("it was not loaded with dust");
    if (!filter.price) return lacks("it has no price");
    const LoadingLaw& law = bench.loading->law;
    const char* word = nullptr;
    for (const LawWord& w : law_words) {
        if (w.form == law.form) word = w.word;
    }
    if (word == nullptr) return lacks("its loading law has a form that the table does not know");
    std::optional<double> caught;
    if (bench.efficiency && !bench.efficiency->ranges.empty()) {   // as choose_filter takes it
        DustOfInterest dust = whole_dust(urban_distribution());
        dust.efficiency_rises_above_measured = true;
        caught = mass_efficiency(*bench.efficiency, dust).estimate.value;
    } else if (bench.loading->average_arrestance) {
        caught = bench.loading->average_arrestance->value;
    }
    if (!caught || !(*caught > 0.0)) return lacks("what share of the dust it catches is not known");
    // The bench's curve for duct design air: the viscous part goes with viscosity, the other with density.
    const AirState from = bench.curve->curve.stated_air, to = duct_design_air();
    const double linear = bench.curve->curve.linear.value() * to.viscosity.value() / from.viscosity.value();
    const double quadratic = bench.curve->curve.quadratic.value() * to.density.value() / from.density.value();
    const VolumeFlow middle = 0.5 * (bench.curve->least_flow + bench.curve->greatest_flow);
    const Uncertain<Pressure> drop = pressure_drop(*bench.curve, middle, from);
    const Uncertain<double>& growth =
        law.form == LoadingForm::linear ? bench.loading->parameters[2] : bench.loading->parameters[0];
    const auto text = [](double x, double unit) { return fmt::format("{:.6g}", x / unit); };
    const auto optional = [&](const auto& x, double unit) { return x ? text(x->value(), unit) : std::string(); };
    const bool smooth = law.form == LoadingForm::smooth, kinked = law.form == LoadingForm::kinked;
    const bool is_linear = law.form == LoadingForm::linear;
    std::string face;
    if (filter.free_area) {
        face = text(filter.free_area->value(), 1.0);
    } else if (filter.width && filter.height) {
        face = text(filter.width->value() * filter.height->value(), 1.0);
    }
    std::string row = choose_filter::csv_text(candidate.name);
    for (const std::string& cell :
         {text(linear, 1.0), text(quadratic, 1.0), std::string(word),
          is_linear ? std::string() : text(law.growth_scale.value(), 1e-3),
          smooth || kinked ? text(law.transition.value(), 1e-3) : std::string(),
          kinked || is_linear ? text(1.0 / law.cake_slope.value(), 1e-3) : std::string(),
          text(bench.loading->area.value(), 1.0), text(bench.loading->greatest_retained.value(), 1e-3),
          text(*caught, 0.01),
          candidate.lasting_pm25_removal ? text(candidate.lasting_pm25_removal->value, 0.01) : std::string(), face,
          optional(stage.final_resistance, 1.0), optional(stage.greatest_age, units::month.one.value()),
          text(filter.price->value.value(), 1.0), text(half_interval(to_si(drop)), 0.01),
          text(half_interval(growth), 0.01)}) {
        row += "," + cell;
    }
    return row + "\n";
}

}   // namespace

const std::string& candidate_header() {
    static const std::string header =
        "candidate,linear [Pa s/m3],quadratic [Pa s2/m6],law,growth scale [g/m2],transition [g/m2],cake growth [g/m2],"
        "area [m2],known up to [g/m2],dust caught [%],PM2.5 removal [%],face area [m2],final resistance [Pa],"
        "greatest age [month],price [money],resistance within [%],growth within [%]";
    return header;
}

std::vector<PortfolioCandidate> read_candidates(const CsvTable& table) {
    table.refuse_unknown_columns(candidate_columns());
    table.require_rows(1, "a portfolio");
    std::vector<PortfolioCandidate> candidates;
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        PortfolioCandidate c;
        c.name = name_cell(table, row, "candidate");
        for (const PortfolioCandidate& other : candidates) {
            if (other.name == c.name) {
                table.refuse(row, table.column("candidate"), "two candidates are named '" + c.name + "'",
                             "give each a name of its own");
            }
        }
        c.clean = {quantity<LinearResistance>(table, row, "linear"),
                   quantity<QuadraticResistance>(table, row, "quadratic", CellRange::not_negative), duct_design_air()};
        c.law = loading_law(table, row);
        c.area = quantity<Area>(table, row, "area");
        c.known_up_to = optional_quantity<MassPerArea>(table, row, "known up to");
        c.dust_caught = share(table, row, "dust caught", CellRange::positive);
        c.pm25_removal = optional_share(table, row, "pm2.5 removal");
        c.face = optional_quantity<Area>(table, row, "face area");
        c.final_resistance = optional_quantity<Pressure>(table, row, "final resistance");
        c.greatest_age = optional_quantity<Time>(table, row, "greatest age");
        c.price = quantity<Money>(table, row, "price", CellRange::not_negative);
        c.resistance_within = ratio_or(table, row, "resistance within", 0.0, CellRange::not_negative);
        c.growth_within = ratio_or(table, row, "growth within", 0.0, CellRange::not_negative);
        candidates.push_back(std::move(c));
    }
    return candidates;
}

std::string candidate_table(const StudyInput& study, const StudyResult& result, std::vector<std::string>& left_out) {
    std::string rows;
    for (std::size_t k = 0; k < study.candidates.size(); ++k) {
        const CandidateInput& candidate = study.candidates[k];
        std::string reason;
        if (candidate.stages.size() != 1) {
            reason = "it has several stages";
        } else {
            const StageInput& stage = candidate.stages.front();
            for (std::size_t f = 0; f < study.filters.size(); ++f) {
                if (study.filters[f].name != stage.filter) continue;
                CandidateResult in_system;
                in_system.name = candidate.name;
                if (!result.systems.empty()) in_system = result.systems.front().candidates[k];
                rows += row_of(study.filters[f], stage, result.filters[f], in_system, reason);
            }
        }
        if (!reason.empty()) left_out.push_back("'" + candidate.name + "' is left out: " + reason);
    }
    if (rows.empty()) {
        throw DataError({study.origin}, "no candidate of this study can be taken into a table",
                        left_out.empty() ? "it has none" : left_out.front());
    }
    return "# Candidates for portfolio_study, written from " + choose_filter::one_line(study.origin) + ": " +
           choose_filter::one_line(study.title) + "\n# " + choose_filter::one_line(study.note) + "\n" +
           candidate_header() + "\n" + rows;
}

}   // namespace portfolio_study
