// SPDX-License-Identifier: BSL-1.0
#pragma once

// The page of the report: one HTML file that needs nothing else.

#include <string>
#include <utility>
#include <vector>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "report_cautions.hpp"
#include "report_figures.hpp"
#include "study_draws.hpp"

namespace choose_filter {

/// The page, with a section of the joint draws in each system where there are any. Throws filterflow::Error where a
/// figure cannot be drawn.
std::string report_page(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                        const StudyDraws* draws = nullptr);

/// Notes below a table: each text once, numbered from 1.
class Footnotes {
public:
    explicit Footnotes(std::string prefix) : prefix_(std::move(prefix)) {}
    /// A reference to a note, as HTML.
    std::string reference(const std::string& text);
    /// The notes as HTML; empty if there are none.
    std::string list() const;

private:
    std::string prefix_;
    std::vector<std::string> texts_;
};

// Parts of the page, each returned as HTML.
std::string caution_html(CautionTopic topic);
std::string figure_html(const ReportFigure& figure);
std::string list_html(const std::vector<std::string>& texts, const std::string& css_class = {});
std::string comparison_html(const filterflow::StudyInput&, const filterflow::StudyResult&, std::size_t system);
/// When a system's fan runs and what it pays for its electricity by the hour and by the month's greatest power; empty
/// where a study states nothing of it.
std::string hours_and_prices_html(const filterflow::StudyInput&, const filterflow::SystemResult&);
std::string pressures_table_html(const filterflow::StudyInput&, const filterflow::StudyResult&);
std::string stand_html(const filterflow::StudyInput&, const filterflow::StudyResult&);
/// The order of filters where no flow was measured; empty where it was.
std::string order_html(const filterflow::StudyInput&, const filterflow::StandResult&);
/// That order in a sentence, for where a recommendation would stand.
std::string order_sentence_html(const filterflow::StudyResult&);
std::string bench_details_html(const filterflow::StudyInput&, const filterflow::StudyResult&);
std::string classes_html(const filterflow::StudyInput&, const filterflow::StudyResult&);
std::string missing_html(const filterflow::StudyInput&, const filterflow::StudyResult&, bool drawn);
std::string warnings_html(const filterflow::StudyResult&);
std::string method_html(const filterflow::StudyInput&, const filterflow::StudyResult&);

/// The style sheet of the page.
const char* report_style_sheet();

}   // namespace choose_filter
