// SPDX-License-Identifier: BSL-1.0
// Cost at equal service and when to change a filter, in the Python module.

#include "quantity.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/cost/change_interval.hpp>

namespace filterflow_python {

using namespace filterflow;

namespace {

constexpr Word<ChangeIntervalReason> interval_reasons[] = {
    {"cost optimum", ChangeIntervalReason::cost_optimum},
    {"limit", ChangeIntervalReason::limit},
    {"none within horizon", ChangeIntervalReason::none_within_horizon},
    {"no service", ChangeIntervalReason::no_service}};

ServicePrices prices_of(const char* where, const py::object& filters, const py::object& annual_volume,
                        const py::object& labour, const py::object& disposal) {
    return {.change = {.filters = one<Money>({where, "filters"}, filters),
                       .labour = one_or_zero<Money>({where, "labour"}, labour),
                       .disposal = one_or_zero<Money>({where, "disposal"}, disposal)},
            .electricity = {},
            .annual_volume = one<Volume>({where, "annual_volume"}, annual_volume),
            .carbon = {}};
}

/// Change intervals for many dusts and prices.
struct ChangeIntervals {
    Quantity interval, annual_cost;   // zero where none is named
    py::array_t<bool> found;
    std::vector<ChangeIntervalReason> reason;
};

ChangeIntervals change_intervals(const FilterLifeInput& installation, const py::object& filters,
                                 const py::object& electricity, const py::object& annual_volume,
                                 const py::object& dust_concentration, const py::object& labour,
                                 const py::object& disposal) {
    constexpr auto where = "find_change_intervals";
    ServicePrices prices = prices_of(where, filters, annual_volume, labour, disposal);
    auto price = column_of<EnergyPrice>({where, "electricity"}, electricity);
    auto dust = column_of<MassConcentration>({where, "dust_concentration"}, dust_concentration);
    const std::size_t n = std::max(price.size(), dust.size());
    price = stretched({where, "electricity"}, std::move(price), n);
    dust = stretched({where, "dust_concentration"}, std::move(dust), n);
    const auto length = static_cast<py::ssize_t>(n);
    ChangeIntervals result{
        {Dimension::time, Array(length)}, {Dimension::money, Array(length)}, py::array_t<bool>(length), {}};
    result.reason.resize(n);
    double* interval = result.interval.si.mutable_data();
    double* cost = result.annual_cost.si.mutable_data();
    bool* found = result.found.mutable_data();
    FilterLifeInput input = installation;
    const py::gil_scoped_release release;
    for (std::size_t i = 0; i < n; ++i) {
        prices.electricity = price[i];
        input.dust.concentration = dust[i];
        const ChangeInterval each = find_change_interval(input, prices);
        found[i] = each.interval.has_value();
        interval[i] = each.interval ? each.interval->value() : 0.0;
        cost[i] = each.cost ? each.cost->annual_cost.value() : 0.0;
        result.reason[i] = each.reason;
    }
    return result;
}

template <class Read>
auto of_cost(const Read& read) {
    return [read](const ChangeInterval& c) -> std::optional<Quantity> {
        if (!c.cost) return std::nullopt;
        return quantity_of(read(*c.cost));
    };
}

void bind_interval(py::module_& m) {
    py::class_<ChangeInterval>(m, "ChangeInterval", "When to change, why, and what it costs at equal service.")
        .def_property_readonly(
            "reason", [](const ChangeInterval& c) { return word_of(c.reason, interval_reasons); },
            "'cost optimum', 'limit', 'none within horizon' or 'no service'.")
        .def_readonly("text", &ChangeInterval::text, "The reason in words.")
        .def_property_readonly(
            "interval", [](const ChangeInterval& c) { return quantity_of(c.interval); },
            "Running time between changes; None if none can be named.")
        .def_property_readonly(
            "age", [](const ChangeInterval& c) { return quantity_of(c.age); }, "In calendar time, or None.")
        .def_property_readonly("annual_cost", of_cost([](const ServiceCost& s) { return s.annual_cost; }), "Or None.")
        .def_property_readonly("annual_energy", of_cost([](const ServiceCost& s) { return s.annual_energy; }),
                               "Or None.")
        .def_property_readonly("annual_energy_cost", of_cost([](const ServiceCost& s) { return s.annual_energy_cost; }),
                               "Or None.")
        .def_property_readonly("annual_filter_cost", of_cost([](const ServiceCost& s) { return s.annual_filter_cost; }),
                               "Filters, labour, disposal; or None.")
        .def_property_readonly("annual_running_time",
                               of_cost([](const ServiceCost& s) { return s.annual_running_time; }),
                               "That the annual volume takes; or None.")
        .def_property_readonly(
            "intervals",
            [](const ChangeInterval& c) {
                return column_from(c.curve, [](const ChangeIntervalSample& s) { return s.interval; });
            },
            "Running times of the curve of cost against interval; shape (n).")
        .def_property_readonly(
            "annual_costs",
            [](const ChangeInterval& c) {
                return column_from(c.curve, [](const ChangeIntervalSample& s) { return s.annual_cost; });
            },
            "Cost a year if changed at `intervals`; shape (n).")
        .def_readonly("power_falls", &ChangeInterval::power_falls,
                      "The fan needs less power as the filter loads: it starves the system, which is no saving.")
        .def_readonly("life", &ChangeInterval::life, "To the first limit or the horizon.");
    py::class_<ChangeIntervals>(m, "ChangeIntervals", "Change intervals for many dusts and prices; shape (n).")
        .def_readonly("interval", &ChangeIntervals::interval, "Zero where none is named: take interval[found].")
        .def_readonly("annual_cost", &ChangeIntervals::annual_cost, "Zero where no interval is named.")
        .def_readonly("found", &ChangeIntervals::found, "NumPy array of bool.")
        .def_property_readonly("reason", [](const ChangeIntervals& c) {
            std::vector<std::string> words;
            for (const ChangeIntervalReason r : c.reason) words.emplace_back(word_of(r, interval_reasons));
            return words;
        });
}

}   // namespace

void bind_cost(py::module_& m) {
    bind_interval(m);
    const std::string prices =
        "filters, labour, disposal: of one change, >= 0 and > 0 together, in 'money'.\n"
        "electricity: > 0, in 'money/kWh'.\n"
        "annual_volume: air to be delivered in a year, the same for all candidates, > 0, in 'm3'.";
    m.def(
        "find_change_interval",
        [](const FilterLifeInput& installation, const py::object& filters, const py::object& electricity,
           const py::object& annual_volume, const py::object& labour, const py::object& disposal) {
            constexpr auto where = "find_change_interval";
            ServicePrices p = prices_of(where, filters, annual_volume, labour, disposal);
            p.electricity = one<EnergyPrice>({where, "electricity"}, electricity);
            const py::gil_scoped_release release;
            return find_change_interval(installation, p);
        },
        py::arg("installation"), py::arg("filters"), py::arg("electricity"), py::arg("annual_volume"), py::kw_only(),
        py::arg("labour") = py::none(), py::arg("disposal") = py::none(),
        ("The running time after which to change an installation: the least cost at equal service, or the limit that "
         "comes first.\n\ninstallation: its fan's table needs powers.\n" +
         prices)
            .c_str());
    m.def("find_change_intervals", &change_intervals, py::arg("installation"), py::arg("filters"),
          py::arg("electricity"), py::arg("annual_volume"), py::arg("dust_concentration"), py::kw_only(),
          py::arg("labour") = py::none(), py::arg("disposal") = py::none(),
          ("find_change_interval for many prices of electricity and dust concentrations.\n\n" + prices +
           "\nelectricity, dust_concentration: shape (n), or one for all.\nReturns ChangeIntervals of shape (n).")
              .c_str());
}

}   // namespace filterflow_python
