// SPDX-License-Identifier: BSL-1.0
// Porous layers in series.

#include <array>
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/layer_resistance.hpp>

#include "support/any_number.hpp"
#include "resistance/bench_air.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::AnyNumber;
using filterflow::test::sweep_length;

namespace {

/// Layers from felt to paper, some without inertia.
class RandomLayers {
public:
    explicit RandomLayers(unsigned seed) : random_(seed) {}

    double log_uniform(double least, double greatest) {
        return std::exp(std::uniform_real_distribution<double>(std::log(least), std::log(greatest))(random_));
    }
    PorousLayer layer() {
        const double k = log_uniform(1e-13, 1e-7);
        const double b = random_() % 4 == 0 ? 0.0 : log_uniform(0.01, 1.0) / std::sqrt(k);
        return {log_uniform(1e-4, 0.05) * m, k * m2, b * per_m};
    }
    std::vector<PorousLayer> layers() {
        std::vector<PorousLayer> result(1 + random_() % 5);
        for (PorousLayer& each : result) each = layer();
        return result;
    }
    Velocity velocity() { return (random_() % 2 ? 1.0 : -1.0) * log_uniform(1e-3, 10.0) * m_per_s; }
    AirState other_air() {
        AirState result = air;
        result.density = log_uniform(0.5, 2.0) * kg_per_m3;
        result.viscosity = log_uniform(1e-5, 3e-5) * Pa_s;
        return result;
    }

private:
    std::mt19937_64 random_;
};

}   // namespace

TEST_CASE("layers in series add up", "[own]") {
    RandomLayers random(1);
    for (std::size_t i = 0; i < sweep_length(1000); ++i) {
        const std::vector<PorousLayer> layers = random.layers();
        const Velocity v = random.velocity();
        double sum = 0.0;
        for (const PorousLayer& layer : layers) sum += pressure_drop(layer, v, air) / Pa;
        const SeriesDrop drop = pressure_drop_parts(layers, v, air);
        REQUIRE(drop.layers.size() == layers.size());
        CHECK(drop.total / Pa == Approx(sum).epsilon(1e-13));
        CHECK(drop.total.value() == pressure_drop(layers, v, air).value());
        CHECK((drop.viscous + drop.inertial) / Pa == Approx(sum).epsilon(1e-13));
        double share = 0.0, viscous = 0.0, inertial = 0.0;
        for (std::size_t j = 0; j < layers.size(); ++j) {
            const LayerDrop& part = drop.layers[j];
            CHECK((part.viscous + part.inertial) / Pa == Approx(pressure_drop(layers[j], v, air) / Pa).epsilon(1e-13));
            CHECK(part.share == Approx((part.viscous + part.inertial) / Pa / sum).epsilon(1e-13));
            share += part.share;
            viscous += part.viscous / Pa;
            inertial += part.inertial / Pa;
        }
        CHECK(share == Approx(1.0).epsilon(1e-13));
        CHECK(viscous == Approx(drop.viscous / Pa).epsilon(1e-13));
        CHECK(inertial == Approx(drop.inertial / Pa).epsilon(1e-13).margin(1e-300));
    }
    // At rest the shares are those of the slowest flow.
    const std::array<PorousLayer, 2> two{PorousLayer{1 * mm, 1e-10 * m2, 1e5 * per_m}, PorousLayer{3 * mm, 1e-10 * m2}};
    const SeriesDrop rest = pressure_drop_parts(two, 0 * m_per_s, air);
    CHECK(rest.total / Pa == 0.0);
    CHECK(rest.layers[0].share == Approx(0.25));
    CHECK(rest.layers[1].share == Approx(0.75));
}

TEST_CASE("the drop rises with velocity and thickness and falls with permeability", "[own]") {
    RandomLayers random(2);
    for (std::size_t i = 0; i < sweep_length(1000); ++i) {
        std::vector<PorousLayer> layers = random.layers();
        const Velocity v = random.log_uniform(1e-3, 10.0) * m_per_s;
        const double drop = pressure_drop(layers, v, air) / Pa;
        CHECK(pressure_drop(layers, 1.001 * v, air) / Pa > drop);
        CHECK(pressure_drop(layers, -v, air) / Pa == -drop);
        layers[0].permeability *= 1.01;
        CHECK(pressure_drop(layers, v, air) / Pa < drop);
        layers[0].permeability /= 1.01;
        layers[0].thickness *= 1.01;
        CHECK(pressure_drop(layers, v, air) / Pa > drop);
    }
}

TEST_CASE("the velocity of layers in series is the inverse of their drop, to where inertia vanishes", "[own]") {
    RandomLayers random(3);
    for (std::size_t i = 0; i < sweep_length(1000); ++i) {
        const std::vector<PorousLayer> layers = random.layers();
        const Velocity v = random.velocity();
        CHECK(face_velocity(layers, pressure_drop(layers, v, air), air) / m_per_s ==
              Approx(v / m_per_s).epsilon(1e-13));
    }
    // dp = R v + S v^2 with S from nothing to everything: v = dp/R (1 - S dp/R^2 + 2 (S dp/R^2)^2 - ...) where S is
    // small, (dp/S)^(1/2) where it is large.
    const auto velocity = [](double linear, double quadratic, double dp) {
        return face_velocity(LayerResistance{linear * Pa_s_per_m, quadratic * Pa_s2_per_m2}, dp * Pa) / m_per_s;
    };
    CHECK(velocity(400, 0, 100) == 0.25);
    for (double quadratic = 1e-30; quadratic < 1e-2; quadratic *= 7.0) {
        const double x = quadratic * 100 / (400.0 * 400.0);
        CHECK(velocity(400, quadratic, 100) == Approx(0.25 * (1 - x + 2 * x * x - 5 * x * x * x)).epsilon(1e-15));
    }
    CHECK(velocity(1e-6, 4, 100) == Approx(5).epsilon(1e-6));
    CHECK(velocity(1e-200, 4, 100) == Approx(5).epsilon(1e-14));   // whose square is no number
    CHECK(velocity(1e-200, 4, -100) == Approx(-5).epsilon(1e-14));
    CHECK(velocity(1e200, 4, 100) == Approx(1e-198).epsilon(1e-14));
    CHECK(velocity(1e-200, 0, 1e-190) == Approx(1e10).epsilon(1e-14));
    CHECK(velocity(400, 3, 0) == 0.0);
    CHECK_THROWS_AS(velocity(1e-200, 0, 1e200), DomainError);
}

TEST_CASE("viscous resistance goes with the viscosity, inertial resistance with the density", "[own]") {
    RandomLayers random(4);
    for (std::size_t i = 0; i < sweep_length(1000); ++i) {
        const std::vector<PorousLayer> layers = random.layers();
        const AirState other = random.other_air();
        const Velocity v = random.velocity();
        const SeriesDrop here = pressure_drop_parts(layers, v, air);
        const SeriesDrop there = pressure_drop_parts(layers, v, other);
        CHECK(there.viscous / Pa ==
              Approx(here.viscous / Pa * (other.viscosity.value() / air.viscosity.value())).epsilon(1e-13));
        CHECK(there.inertial / Pa ==
              Approx(here.inertial / Pa * (other.density.value() / air.density.value())).epsilon(1e-13).margin(1e-300));
        const LayerResistance scaled = resistance_in_air(layer_resistance(layers, air), air, other);
        CHECK(pressure_drop(scaled, v) / Pa == Approx(there.total / Pa).epsilon(1e-13));
        // Velocity and size scale as Reynolds' law says: dp/(rho v^2) is the same at one Reynolds number.
        const double factor = random.log_uniform(0.5, 2.0);
        std::vector<PorousLayer> large = layers;
        for (PorousLayer& layer : large) {
            layer.thickness *= factor;
            layer.permeability *= factor * factor;
            layer.inertial_factor /= factor;
        }
        CHECK(pressure_drop(large, v / factor, air) / Pa ==
              Approx(here.total / Pa / (factor * factor)).epsilon(1e-12));
    }
}

TEST_CASE("derivatives of layers in series are their differences", "[own]") {
    using D = Dual<7>;
    RandomLayers random(5);
    for (std::size_t i = 0; i < sweep_length(200); ++i) {
        PorousLayer one = random.layer();
        if (i % 3 == 0) one.inertial_factor = InverseLength{};
        const PorousLayer two = random.layer();
        const double v0 = random.velocity().value();
        const std::array<double, 7> x{one.thickness.value(), one.permeability.value(), one.inertial_factor.value(),
                                      two.permeability.value(), air.viscosity.value(), air.density.value(), v0};
        const auto evaluate = [&]<class T>(const std::array<T, 7>& at) {
            BasicAirState<T> state = air_as<T>(air);
            state.viscosity = BasicDynamicViscosity<T>::from_value(at[4]);
            state.density = BasicDensity<T>::from_value(at[5]);
            const std::array<BasicPorousLayer<T>, 2> layers{
                BasicPorousLayer<T>{BasicLength<T>::from_value(at[0]), BasicPermeability<T>::from_value(at[1]),
                                    BasicInverseLength<T>::from_value(at[2])},
                BasicPorousLayer<T>{BasicLength<T>::from_value(T(two.thickness.value())),
                                    BasicPermeability<T>::from_value(at[3]),
                                    BasicInverseLength<T>::from_value(T(two.inertial_factor.value()))}};
            const BasicPressure<T> drop = pressure_drop<T>(layers, BasicVelocity<T>::from_value(at[6]), state);
            // The drop, and what twice a fixed drop drives through them.
            const BasicVelocity<T> back = face_velocity<T>(layers, BasicPressure<T>::from_value(T(100.0)), state);
            return std::array<T, 2>{drop.value(), back.value()};
        };
        std::array<D, 7> dual;
        for (std::size_t j = 0; j < 7; ++j) dual[j] = D::input(x[j], j);
        const std::array<D, 2> result = evaluate(dual);
        for (std::size_t j = 0; j < 7; ++j) {
            if (x[j] == 0.0) continue;   // no step to either side
            std::array<double, 7> up = x, down = x;
            up[j] *= 1 + 1e-5;
            down[j] *= 1 - 1e-5;
            for (std::size_t which = 0; which < 2; ++which) {
                INFO("input " << j << ", result " << which);
                const double difference = (evaluate(up)[which] - evaluate(down)[which]) / (up[j] - down[j]);
                CHECK(result[which].derivative[j] ==
                      Approx(difference).epsilon(1e-6).margin(1e-9 * std::abs(result[which].value / x[j])));
            }
        }
    }
}

TEST_CASE("layers in series refuse what they cannot be", "[own]") {
    const std::vector<PorousLayer> none;
    CHECK_THROWS_WITH(layer_resistance(none, air), Contains("layer_resistance(layers): number of layers = 0"));
    std::vector<PorousLayer> layers{{1 * mm, 1e-10 * m2}, {1 * mm, 0 * m2}};
    CHECK_THROWS_WITH(pressure_drop(layers, 1 * m_per_s, air), Contains("permeability = 0 m2"));
    layers[1] = {1 * mm, 1e-10 * m2, -1 * per_m};
    CHECK_THROWS_WITH(face_velocity(layers, 1 * Pa, air), Contains("inertial_factor = -1 1/m"));
    layers.pop_back();
    CHECK_THROWS_AS(pressure_drop_parts(layers, NAN * m_per_s, air), DomainError);
    CHECK_THROWS_AS(face_velocity(layers, INFINITY * Pa, air), DomainError);
    CHECK_THROWS_AS(layer_resistance(layers[0], AirState{}), DomainError);
    const LayerResistance bad{0 * Pa_s_per_m, 1 * Pa_s2_per_m2};
    CHECK_THROWS_WITH(pressure_drop(bad, 1 * m_per_s), Contains("linear resistance = 0 Pa s/m"));
    CHECK_THROWS_WITH(face_velocity(LayerResistance{1 * Pa_s_per_m, -1 * Pa_s2_per_m2}, 1 * Pa),
                      Contains("quadratic resistance = -1 Pa s2/m2"));
    CHECK_THROWS_AS(resistance_in_air(LayerResistance{1 * Pa_s_per_m, 1 * Pa_s2_per_m2}, AirState{}, air), DomainError);
}

TEST_CASE("layers of any number give a finite drop and velocity or an error", "[own]") {
    AnyNumber any(14);
    std::size_t answers = 0, tries = 0;
    const auto look_at = [&](auto&& call) {
        ++tries;
        try {
            const double x = call();
            CHECK(std::isfinite(x));
            ++answers;
        } catch (const DomainError&) {
        }
    };
    for (std::size_t i = 0; i < sweep_length(20000); ++i) {
        AirState any_air = air;
        any_air.density = any() * kg_per_m3;
        any_air.viscosity = any() * Pa_s;
        const std::array<PorousLayer, 2> layers{PorousLayer{any() * m, any() * m2, any() * per_m},
                                                PorousLayer{any() * m, any() * m2, any.share() * per_m}};
        const Velocity v = any() * m_per_s;
        const Pressure dp = any() * Pa;
        look_at([&] { return pressure_drop(layers, v, any_air) / Pa; });
        look_at([&] { return face_velocity(layers, dp, any_air) / m_per_s; });
        look_at([&] { return pressure_drop(layers[0], v, any_air) / Pa; });
        look_at([&] { return face_velocity(layers[1], dp, any_air) / m_per_s; });
        look_at([&] {
            const SeriesDrop drop = pressure_drop_parts(layers, v, any_air);
            return drop.viscous / Pa + drop.layers[0].share + drop.layers[1].inertial / Pa;
        });
        look_at([&] {
            return resistance_in_air(LayerResistance{any() * Pa_s_per_m, any() * Pa_s2_per_m2}, any_air, air)
                       .linear / Pa_s_per_m;
        });
    }
    INFO(answers << " of " << tries);
    CHECK(answers > tries / 10);
}
