// SPDX-License-Identifier: BSL-1.0
#pragma once

// A table of branches as a network: one row a branch, read with the reader of choose_filter, so that what is wrong is
// shown where it stands.

#include <algorithm>
#include <filesystem>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/network_builder.hpp>

#include "choose_filter/csv_table.hpp"
#include "choose_filter/file_source.hpp"
#include "choose_filter/study_readings.hpp"

namespace duct_network {

using namespace filterflow;
using choose_filter::CsvTable;

inline const std::vector<std::string>& known_columns() {
    static const std::vector<std::string> columns{
        "branch", "from", "to", "kind", "length", "diameter", "width", "height", "coefficient", "blade angle", "flow",
        "pressure", "exponent", "viscous share", "table"};
    return columns;
}

class BranchTable {
public:
    BranchTable(const choose_filter::FileSource& files, const std::string& path)
        : files_(files), path_(path), table_(path, text_of(path), "branch,from,to,kind,length [m],diameter [mm]") {
        table_.refuse_unknown_columns(known_columns());
        table_.require_rows(1, "a network");
    }

    /// Every row a branch, stated for an air and added to the network.
    void add_to(DuctNetwork& network, const AirState& air) const {
        for (std::size_t row = 0; row < table_.row_count(); ++row) {
            try {
                network.add_branch({.name = text(row, "branch"), .from = text(row, "from"), .to = text(row, "to"),
                                    .part = part(row, air)});
            } catch (const DomainError& error) {
                table_.refuse(row, table_.column("branch"), error.what());
            }
        }
    }

    /// Shows where a node stands at which a single branch dangles, or from which no path leads to the fixed one.
    void refuse_loose_ends(const std::string& fixed) const {
        std::map<std::string, int> ends;
        std::vector<std::string> names;
        each_end([&](std::size_t row, std::size_t column) {
            if (++ends[table_.cell(row, column).text] == 1) names.push_back(table_.cell(row, column).text);
        });
        if (!ends.contains(fixed)) {
            throw choose_filter::DataError({path_}, "no branch reaches '" + fixed + "', whose pressure is fixed");
        }
        each_end([&](std::size_t row, std::size_t column) {
            const std::string& node = table_.cell(row, column).text;
            if (ends[node] > 1 || node == fixed) return;
            std::vector<std::string> others;
            std::copy_if(names.begin(), names.end(), std::back_inserter(others),
                         [&](const std::string& name) { return name != node; });
            const std::string near = choose_filter::nearest_name(node, others);
            table_.refuse(row, column, "a single branch dangles at the node '" + node + "', air cannot get on from it",
                          near.empty() ? near : "there is a node '" + near + "': is one of the two mistyped?");
        });
        std::set<std::string> reached{fixed};
        for (std::size_t before = 0; before < reached.size();) {
            before = reached.size();
            for (std::size_t row = 0; row < table_.row_count(); ++row) {
                const std::string &from = text(row, "from"), &to = text(row, "to");
                if (reached.contains(from) || reached.contains(to)) reached.insert({from, to});
            }
        }
        each_end([&](std::size_t row, std::size_t column) {
            if (reached.contains(table_.cell(row, column).text)) return;
            table_.refuse(row, column, "no path leads from the node '" + table_.cell(row, column).text + "' to '" +
                                           fixed + "', whose pressure is fixed");
        });
    }

    /// The element of a row of kind filter.
    ElementCurve filter(std::string_view name, const AirState& air) const {
        for (std::size_t row = 0; row < table_.row_count(); ++row) {
            if (text(row, "branch") == name) return filter_of(row, air);
        }
        throw DomainError("no branch '" + std::string(name) + "' in " + path_);
    }

private:
    std::string text_of(const std::string& path) const {
        const choose_filter::FileText file = files_.read(path);
        if (!file.found) throw choose_filter::DataError({path}, "the file cannot be read: " + file.reason);
        return file.text;
    }
    const std::string& text(std::size_t row, std::string_view column) const {
        return table_.cell(row, table_.column(column)).text;
    }
    bool has(std::size_t row, std::string_view column) const {
        const auto found = table_.find_column(column);
        return found && !table_.is_empty(row, *found);
    }
    template <class Quantity>
    Quantity quantity(std::size_t row, std::string_view column) const {
        require(row, column);
        return table_.quantity<Quantity>(row, table_.column(column));
    }
    double number(std::size_t row, std::string_view column) const {
        require(row, column);
        return table_.number(row, table_.column(column));
    }
    template <class Use>
    void each_end(const Use& use) const {
        for (std::size_t row = 0; row < table_.row_count(); ++row) {
            for (const char* column : {"from", "to"}) use(row, table_.column(column));
        }
    }
    void require(std::size_t row, std::string_view column) const {
        if (!has(row, column)) {
            table_.refuse(row, table_.column("kind"),
                          "a branch of kind '" + text(row, "kind") + "' needs a " + std::string(column));
        }
    }

    /// Refuses a cell that a branch of this kind has no use for: it would be left out without a word.
    void refuse_unused(std::size_t row) const {
        static const std::map<std::string, std::set<std::string>> used{
            {"duct", {"length", "diameter", "width", "height", "coefficient"}},
            {"fitting", {"diameter", "width", "height", "coefficient"}},
            {"damper", {"diameter", "blade angle"}},
            {"filter", {"flow", "pressure", "viscous share"}},
            {"coil", {"flow", "pressure", "exponent"}},
            {"leak", {"flow", "pressure", "exponent"}},
            {"fan", {"table"}}};
        const auto own = used.find(text(row, "kind"));
        if (own == used.end()) return;   // an unknown kind, which is refused as such
        for (std::size_t k = 4; k < known_columns().size(); ++k) {
            const std::string& column = known_columns()[k];
            if (!has(row, column) || own->second.contains(column)) continue;
            table_.refuse(row, table_.column(column),
                          "a branch of kind '" + own->first + "' has no use for a " + column, "leave the cell empty");
        }
        for (const char* side : {"width", "height"}) {
            if (!has(row, "diameter") || !has(row, side)) continue;
            table_.refuse(row, table_.column(side), "the branch has a diameter already",
                          "a diameter is of a round duct, width and height are of a rectangular one");
        }
    }

    DuctSegment duct(std::size_t row) const {
        DuctSegment d;
        if (text(row, "kind") == "duct") d.length = quantity<Length>(row, "length");
        if (has(row, "diameter")) {
            d.diameter = quantity<Length>(row, "diameter");
        } else if (!has(row, "width") && !has(row, "height")) {
            table_.refuse(row, table_.column("kind"),
                          "a branch of kind '" + text(row, "kind") + "' needs a diameter, or width and height");
        } else {
            d.width = quantity<Length>(row, "width");
            d.height = quantity<Length>(row, "height");
        }
        if (has(row, "coefficient")) d.loss_coefficient = number(row, "coefficient");
        return d;
    }
    ElementCurve filter_of(std::size_t row, const AirState& air) const {
        const double share = number(row, "viscous share");
        if (!(share >= 0.0 && share <= 1.0)) {
            table_.refuse_value(row, table_.column("viscous share"), "is no share", "0 to 1");
        }
        const auto flow = quantity<VolumeFlow>(row, "flow");
        const auto pressure = quantity<Pressure>(row, "pressure");
        return {share * (pressure / flow), (1.0 - share) * (pressure / flow / flow), air};
    }
    FanCurve fan(std::size_t row) const {
        require(row, "table");
        const std::string path = (std::filesystem::path(path_).parent_path() / text(row, "table")).generic_string();
        const CsvTable rows(path, text_of(path), choose_filter::fan_header("static pressure"));
        for (const auto& [column, kind] : {std::pair{"total pressure", FanPressureKind::total},
                                           std::pair{"static pressure", FanPressureKind::static_pressure},
                                           std::pair{"external static pressure", FanPressureKind::external_static}}) {
            if (!rows.find_column(column)) continue;
            return fan_curve(
                {.points = choose_filter::fan_points(rows, kind), .kind = kind, .stated_air = fan_table_air()});
        }
        throw choose_filter::DataError({path, 1}, "the fan table does not say which pressure it states",
                                       "name its column 'total pressure', 'static pressure' or 'external static "
                                       "pressure'");
    }
    BranchPart part(std::size_t row, const AirState& air) const {
        const std::string& kind = text(row, "kind");
        refuse_unused(row);
        if (kind == "duct" || kind == "fitting") return duct(row);   // a fitting is a duct without length
        if (kind == "damper") return ButterflyDamper{quantity<Length>(row, "diameter"), number(row, "blade angle")};
        if (kind == "filter") return filter_of(row, air);
        if (kind == "fan") return fan(row);
        if (kind == "coil") {
            return PowerLawPart{quantity<Pressure>(row, "pressure"), quantity<VolumeFlow>(row, "flow"),
                                number(row, "exponent"), air};
        }
        if (kind == "leak") {
            return LeakagePath{quantity<VolumeFlow>(row, "flow"), quantity<Pressure>(row, "pressure"),
                               number(row, "exponent")};
        }
        table_.refuse(
            row, table_.column("kind"), "no kind of branch is called '" + kind + "'",
            choose_filter::name_hint(kind, {"duct", "fitting", "damper", "filter", "coil", "leak", "fan"}, "kinds"));
    }

    const choose_filter::FileSource& files_;
    std::string path_;
    CsvTable table_;
};

}   // namespace duct_network
