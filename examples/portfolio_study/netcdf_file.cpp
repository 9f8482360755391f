// SPDX-License-Identifier: BSL-1.0

#include "netcdf_file.hpp"

#include "choose_filter/data_error.hpp"

#ifdef PORTFOLIO_STUDY_NETCDF

#include <algorithm>
#include <array>
#include <cstdio>
#include <utility>

#include <netcdf.h>
#include <unistd.h>

namespace portfolio_study {

bool has_netcdf() { return true; }

struct NetcdfFile::Parts {
    std::string path, temporary;
    int file = -1;
    bool open = false;
    std::size_t candidates = 0, name_length = 0, next = 0;   // next system
    int system_name = 0, status = 0, changed_by = 0, failed_limits = 0, present = 0, best = 0, extrapolated = 0;
    std::array<int, figure_count> figures{};

    void check(int result) const {
        if (result != NC_NOERR)
            throw choose_filter::DataError({path}, std::string("cannot write the file: ") + nc_strerror(result));
    }
    int dimension(const char* name, std::size_t length) const {
        int id = 0;
        check(nc_def_dim(file, name, length, &id));
        return id;
    }
    void text(int variable, const char* name, const std::string& value) const {
        check(nc_put_att_text(file, variable, name, value.size(), value.c_str()));
    }
    int variable(const char* name, nc_type type, const std::vector<int>& dimensions, const char* meaning) const {
        int id = 0;
        check(nc_def_var(file, name, type, static_cast<int>(dimensions.size()), dimensions.data(), &id));
        text(id, "long_name", meaning);
        return id;
    }
    /// A variable of codes, which says what each stands for.
    int codes(const char* name, const std::vector<int>& dimensions, const char* meaning, std::vector<std::string> words,
              bool masks) const {
        const int id = variable(name, NC_BYTE, dimensions, meaning);
        std::vector<signed char> values;
        std::string meanings;
        for (std::size_t i = 0; i < words.size(); ++i) {
            values.push_back(static_cast<signed char>(masks ? 1 << i : static_cast<int>(i)));
            if (words[i].empty()) words[i] = "none";
            std::replace(words[i].begin(), words[i].end(), ' ', '_');
            meanings += (i > 0 ? " " : "") + words[i];
        }
        check(nc_put_att_schar(file, id, masks ? "flag_masks" : "flag_values", NC_BYTE, values.size(), values.data()));
        text(id, "flag_meanings", meanings);
        return id;
    }
};

NetcdfFile::NetcdfFile(std::string path, const NetcdfShape& shape) : parts_(std::make_unique<Parts>()) {
    Parts& p = *parts_;
    p.path = std::move(path);
    p.temporary = p.path + "." + std::to_string(::getpid()) + ".part";
    p.candidates = shape.candidates.size();
    p.name_length = shape.longest_name;
    p.check(nc_create(p.temporary.c_str(), NC_CLOBBER | NC_64BIT_OFFSET, &p.file));
    p.open = true;
    const int system = p.dimension("system", shape.systems), candidate = p.dimension("candidate", p.candidates);
    std::size_t longest = 1;
    for (const std::string& name : shape.candidates) longest = std::max(longest, name.size());
    const int system_letters = p.dimension("system_name_length", p.name_length);
    const int candidate_letters = p.dimension("candidate_name_length", longest);
    const std::vector<int> both{system, candidate};
    p.text(NC_GLOBAL, "title", "results of portfolio_study");
    p.system_name = p.variable("system_name", NC_CHAR, {system, system_letters}, "name of the system");
    const int candidate_name =
        p.variable("candidate_name", NC_CHAR, {candidate, candidate_letters}, "name of the candidate");
    p.status = p.codes("status", both, "how the candidate fares", status_words(), false);
    p.changed_by = p.codes("changed_by", both, "what the change interval follows from", changed_by_words(), false);
    p.failed_limits = p.codes("failed_limits", both, "limits that it fails", limit_words(), true);
    p.present = p.codes("present", both, "it is what is installed now", {"no", "yes"}, false);
    p.best = p.codes("best", both, "cheapest of those that keep to all limits", {"no", "yes"}, false);
    p.extrapolated = p.codes("extrapolated", both, "loading law used beyond its readings", {"no", "yes"}, false);
    for (std::size_t i = 0; i < figure_count; ++i) {
        const FigureColumn& c = figure_columns()[i];
        p.figures[i] = p.variable(c.name, NC_DOUBLE, both, c.meaning);
        p.text(p.figures[i], "units", *c.unit == '\0' ? "1" : c.unit);
        const double missing = NC_FILL_DOUBLE;
        p.check(nc_put_att_double(p.file, p.figures[i], "_FillValue", NC_DOUBLE, 1, &missing));
    }
    p.check(nc_enddef(p.file));
    for (std::size_t k = 0; k < p.candidates; ++k) {
        const std::array<std::size_t, 2> start{k, 0}, count{1, shape.candidates[k].size()};
        p.check(nc_put_vara_text(p.file, candidate_name, start.data(), count.data(), shape.candidates[k].c_str()));
    }
}

NetcdfFile::~NetcdfFile() {
    if (!parts_ || !parts_->open) return;
    nc_abort(parts_->file);
    std::remove(parts_->temporary.c_str());
}

void NetcdfFile::add(const std::vector<ResultRow>& rows) {
    Parts& p = *parts_;
    const std::size_t systems = rows.size() / p.candidates;
    if (systems == 0) return;
    const std::array<std::size_t, 2> start{p.next, 0}, count{systems, p.candidates}, letters{systems, p.name_length};
    std::string names(systems * p.name_length, '\0');
    for (std::size_t s = 0; s < systems; ++s) {
        rows[s * p.candidates].system.copy(names.data() + s * p.name_length, p.name_length);
    }
    p.check(nc_put_vara_text(p.file, p.system_name, start.data(), letters.data(), names.data()));
    std::vector<signed char> bytes(rows.size());
    const auto put = [&](int variable, const auto& of) {
        std::transform(rows.begin(), rows.end(), bytes.begin(),
                       [&](const ResultRow& r) { return static_cast<signed char>(of(r)); });
        p.check(nc_put_vara_schar(p.file, variable, start.data(), count.data(), bytes.data()));
    };
    put(p.status, [](const ResultRow& r) { return r.status; });
    put(p.changed_by, [](const ResultRow& r) { return r.changed_by; });
    put(p.failed_limits, [](const ResultRow& r) { return r.failed_limits; });
    put(p.present, [](const ResultRow& r) { return r.present; });
    put(p.best, [](const ResultRow& r) { return r.best; });
    put(p.extrapolated, [](const ResultRow& r) { return r.extrapolated; });
    std::vector<double> values(rows.size());
    for (std::size_t i = 0; i < figure_count; ++i) {
        std::transform(rows.begin(), rows.end(), values.begin(),
                       [&](const ResultRow& r) { return r.figures[i].value_or(NC_FILL_DOUBLE); });
        p.check(nc_put_vara_double(p.file, p.figures[i], start.data(), count.data(), values.data()));
    }
    p.next += systems;
}

void NetcdfFile::keep() {
    Parts& p = *parts_;
    p.open = false;
    const int closed = nc_close(p.file);
    if (closed != NC_NOERR || std::rename(p.temporary.c_str(), p.path.c_str()) != 0) {
        std::remove(p.temporary.c_str());
        p.check(closed == NC_NOERR ? NC_EPERM : closed);
    }
}

}   // namespace portfolio_study

#else

namespace portfolio_study {

bool has_netcdf() { return false; }

struct NetcdfFile::Parts {};
NetcdfFile::NetcdfFile(std::string path, const NetcdfShape&) {
    throw choose_filter::DataError({std::move(path)}, "this program was built without netCDF",
                                   "build it where libnetcdf-dev is found, or take results.csv");
}
NetcdfFile::~NetcdfFile() = default;
void NetcdfFile::add(const std::vector<ResultRow>&) {}
void NetcdfFile::keep() {}

}   // namespace portfolio_study

#endif
