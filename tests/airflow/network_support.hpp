// SPDX-License-Identifier: BSL-1.0
#pragma once

// Random networks of every kind of part, and what their parts say about a solution, for the tests of networks.

#include <cmath>
#include <cstddef>
#include <optional>
#include <random>
#include <string>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/network_builder.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow::test {

struct ListedBranch {
    std::string name, from, to;
    BranchPart part;
};

/// A network as lists, so that tests can change it and read its parts again.
struct ListedNetwork {
    std::vector<ListedBranch> branches;
    std::vector<std::pair<std::string, Pressure>> pressures;
    std::vector<std::pair<std::string, VolumeFlow>> demands;

    void add(std::string name, std::string from, std::string to, BranchPart part) {
        branches.push_back({std::move(name), std::move(from), std::move(to), std::move(part)});
    }
    DuctNetwork network(const AirState& air) const {
        DuctNetwork result(air);
        for (const ListedBranch& b : branches) {
            result.add_branch({.name = b.name, .from = b.from, .to = b.to, .part = b.part});
        }
        for (const auto& [node, pressure] : pressures) result.fix_pressure(node, pressure);
        for (const auto& [node, demand] : demands) result.set_demand(node, demand);
        return result;
    }
};

/// Drop of a part at a flow of either sign by the public functions of the room: not by the network's own laws.
inline double drop_of(const BranchPart& part, double flow, const AirState& air) {
    using namespace filterflow::units;
    const VolumeFlow size = std::abs(flow) * m3_per_s;
    const double sign = flow < 0.0 ? -1.0 : 1.0;
    struct Visitor {
        VolumeFlow size;
        double sign, flow;
        const AirState& air;
        double operator()(const DuctSegment& p) const { return sign * (pressure_drop(p, size, air) / Pa); }
        double operator()(const Fitting& p) const { return sign * (pressure_drop(p, size, air) / Pa); }
        double operator()(const ButterflyDamper& p) const {
            const double area = std::acos(-1.0) / 4.0 * std::pow(p.diameter / m, 2);
            const double velocity = size / m3_per_s / area;
            return sign * butterfly_damper_loss_coefficient(p.blade_angle).value * 0.5 * air.density.value() *
                   velocity * velocity;
        }
        double operator()(const ElementCurve& p) const { return pressure_drop(p, flow * m3_per_s, air) / Pa; }
        double operator()(const BypassedElement& p) const { return sign * (pressure_drop(p, size, air) / Pa); }
        double operator()(const PowerLawPart& p) const {
            return sign * (pressure_drop(in_series(SystemCurve{}, p), size, air) / Pa);
        }
        double operator()(const LeakagePath& p) const {
            return sign * (p.reference_pressure / Pa) *
                   std::pow(size / m3_per_s / (p.reference_flow / m3_per_s), 1.0 / p.exponent);
        }
        double operator()(const FanCurve& p) const { return -(fan_pressure(p, flow * m3_per_s, air) / Pa); }
        double operator()(const SystemCurve& p) const {
            const double constant = p.constant_pressure / Pa;
            return constant + sign * (pressure_drop(p, size, air) / Pa - constant);
        }
        double operator()(const FlowLaw& p) const { return p(flow * m3_per_s).drop / Pa; }
    };
    return std::visit(Visitor{size, sign, flow, air}, part);
}

inline FanCurve falling_fan(double pressure, double flow) {
    using namespace filterflow::units;
    FanTable table{.kind = FanPressureKind::total, .stated_air = fan_table_air()};
    for (int i = 0; i <= 8; ++i) {
        const double x = i / 8.0;
        table.points.push_back(
            {flow * x * m3_per_s, pressure * (1.0 - 0.15 * x - 0.85 * x * x * x) * Pa, std::nullopt});
    }
    return fan_curve(table);
}

class RandomNetworks {
public:
    explicit RandomNetworks(std::uint64_t seed) : random_(seed) {}

    double uniform(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random_); }
    std::size_t below(std::size_t count) { return std::uniform_int_distribution<std::size_t>(0, count - 1)(random_); }
    std::mt19937_64& engine() { return random_; }

    /// A part whose drop rises strictly with flow.
    BranchPart part() {
        using namespace filterflow::units;
        const double r = uniform(2.0, 200.0), s = std::pow(10.0, uniform(1.0, 3.5));
        switch (below(9)) {
            case 0:
                return DuctSegment{
                    .length = uniform(1, 30) * m, .diameter = uniform(0.1, 0.4) * m, .loss_coefficient = uniform(0, 3)};
            case 1:
                return DuctSegment{
                    .length = uniform(1, 30) * m, .width = uniform(0.1, 0.6) * m, .height = uniform(0.1, 0.3) * m};
            case 2: return Fitting{uniform(0.01, 0.1) * m2, uniform(0.3, 5.0)};
            case 3: return ButterflyDamper{uniform(0.1, 0.3) * m, uniform(0.0, 60.0)};
            case 4: return ElementCurve{r * Pa_s_per_m3, s * Pa_s2_per_m6, duct_design_air()};
            case 5:
                return BypassedElement{{r * Pa_s_per_m3, s * Pa_s2_per_m6, duct_design_air()}, uniform(0.0, 3.0) * cm2};
            case 6:
                return PowerLawPart{uniform(5, 100) * Pa, uniform(0.1, 0.5) * m3_per_s, uniform(1.0, 2.2),
                                    duct_design_air()};
            case 7: return LeakagePath{uniform(0.01, 0.1) * m3_per_s, uniform(10, 100) * Pa, uniform(0.5, 1.0)};
            default: {
                SystemCurve system;
                system.elements.push_back({r * Pa_s_per_m3, s * Pa_s2_per_m6, duct_design_air()});
                system.ducts.push_back({.length = uniform(1, 30) * m, .diameter = uniform(0.1, 0.4) * m});
                return system;
            }
        }
    }

    /// Joined to the room at 0 Pa: a random tree of nodes, more branches across, two fans, some leaks and demands.
    ListedNetwork network(std::size_t nodes, std::size_t more) {
        using namespace filterflow::units;
        ListedNetwork n;
        const auto name = [](std::size_t i) { return i == 0 ? std::string("room") : "node " + std::to_string(i); };
        const auto add = [&](std::size_t a, std::size_t b, BranchPart p) {
            if (below(2) == 0) std::swap(a, b);
            n.add("branch " + std::to_string(n.branches.size()), name(a), name(b), std::move(p));
        };
        std::vector<std::size_t> ends(nodes, 0);
        for (std::size_t i = 1; i < nodes; ++i) {
            const std::size_t up = below(i);
            ++ends[i];
            ++ends[up];
            add(up, i, part());
        }
        for (std::size_t k = 0; k < more; ++k) {
            const std::size_t a = below(nodes), b = (a + 1 + below(nodes - 1)) % nodes;
            ++ends[a];
            ++ends[b];
            add(a, b, part());
        }
        n.pressures.emplace_back("room", 0 * Pa);
        for (std::size_t i = 1; i < nodes; ++i) {
            if (ends[i] == 1 || below(6) == 0) n.demands.emplace_back(name(i), uniform(-0.1, 0.1) * m3_per_s);
        }
        return n;
    }

private:
    std::mt19937_64 random_;
};

}   // namespace filterflow::test
