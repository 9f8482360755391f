// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/reference.hpp"

#include <cmath>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/zone/room.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Infiltration 0.4, deposition 0.3, filter 4 air changes an hour, fan on a fifth of the time.
Room cycling_room() {
    return {.volume = 250 * m3,
            .infiltration = 0.4 * per_h,
            .deposition = 0.3 * per_h,
            .recirculated = 250.0 * 8.0 * m3_per_h,
            .recirculating_efficiency = 0.5,
            .running_fraction = 0.2};
}

/// Fourth-order Runge-Kutta with small steps on the room's balance: a second way to the closed forms.
double stepped(const Room& room, double outdoor, double initial, double seconds, double running) {
    const double v = room.volume.value();
    const double gain = room.infiltration.value() * room.penetration * outdoor +
                        room.outdoor_air.value() / v * (1 - room.outdoor_air_efficiency) * outdoor +
                        room.source.value() / v;
    const double loss = room.infiltration.value() + room.outdoor_air.value() / v + room.deposition.value() +
                        running * room.recirculating_efficiency * room.recirculated.value() / v +
                        room.clean_air_delivery.value() / v;
    const int n = 2000;
    const double h = seconds / n;
    double c = initial;
    const auto f = [&](double x) { return gain - loss * x; };
    for (int i = 0; i < n; ++i) {
        const double k1 = f(c), k2 = f(c + h / 2 * k1), k3 = f(c + h / 2 * k2), k4 = f(c + h * k3);
        c += h / 6 * (k1 + 2 * k2 + 2 * k3 + k4);
    }
    return c;
}

}   // namespace

// Abulencia & Theodore, Example 20.7 (answer read second-hand, inputs from memory).
TEST_CASE("ventilation that keeps a room at a concentration", "[outside][zone]") {
    const test::ReferenceTable table("room_checks.csv");
    const double flow = table.row("id", "room ventilation").number("expected");
    const Room room{.volume = 100 * m3,
                    .outdoor_air = VolumeFlow::from_value(flow / 60.0),
                    .source = MassFlow::from_value(250e-12 / 60.0)};
    CHECK(steady_concentration(room, MassConcentration::from_value(10e-12)).value() == Approx(35e-12).epsilon(1e-9));
}

// Davis & Cornwell, unvented heater (from memory).
TEST_CASE("a room after an hour of a source", "[outside][zone]") {
    const test::ReferenceTable table("room_checks.csv");
    const Room room{.volume = 200 * m3, .outdoor_air = 50 * L_per_s, .source = MassFlow::from_value(50e-9)};
    const auto found =
        concentration_after(room, {.initial = 100 * ug_per_m3, .outdoor = 100 * ug_per_m3, .elapsed = 1 * h});
    CHECK(found / ug_per_m3 == Approx(table.row("id", "unvented heater").number("expected")).epsilon(0.01));
    CHECK(found / ug_per_m3 == Approx(1100.0 - 1000.0 * std::exp(-0.9)).epsilon(1e-12));   // by hand
}

// Chen & Zhao 2021: about 0.5 for PM2.5, with inputs inside their ranges.
TEST_CASE("infiltration factor of fine particles", "[outside][zone]") {
    const test::ReferenceTable table("room_checks.csv");
    const Room room{.volume = 250 * m3, .infiltration = 0.5 * per_h, .penetration = 0.78, .deposition = 0.28 * per_h};
    CHECK(indoor_outdoor_ratio(room) ==
          Approx(table.row("id", "infiltration factor").number("expected")).epsilon(0.02));
}

TEST_CASE("a fan that cycles: the filter's effect shrinks as cycles lengthen", "[own][zone]") {
    // Ratio with filter to without: own exact results, found by a second program.
    const Room room = cycling_room();
    Room bare = room;
    bare.recirculated = 0 * m3_per_h;
    const double without = indoor_outdoor_ratio(bare);
    CHECK(indoor_outdoor_ratio(room) / without == Approx(0.4667).margin(5e-5));
    const double expected[] = {0.4818, 0.5629, 0.7437};
    const double hours[] = {1.0, 3.0, 12.0};
    for (int i = 0; i < 3; ++i) {
        const auto c = cycling_concentration(room, {.outdoor = 10 * ug_per_m3, .period = hours[i] * h});
        CHECK(c.mean / ug_per_m3 / 10.0 / without == Approx(expected[i]).margin(5e-5));
        CHECK(c.least < c.mean);
        CHECK(c.mean < c.greatest);
    }
    const auto fast = cycling_concentration(room, {.outdoor = 10 * ug_per_m3, .period = 1 * s});
    CHECK(fast.mean / ug_per_m3 == Approx(10.0 * indoor_outdoor_ratio(room)).epsilon(1e-6));
}

TEST_CASE("cycling ends agree with stepping through cycles", "[own][zone]") {
    Room room = cycling_room();
    room.source = MassFlow::from_value(2e-9);
    double c = 5e-9;
    double start = 0.0, stop = 0.0;
    for (int cycle = 0; cycle < 30; ++cycle) {
        start = c;
        stop = stepped(room, 1e-8, start, 0.2 * 3 * 3600, 1.0);
        c = stepped(room, 1e-8, stop, 0.8 * 3 * 3600, 0.0);
    }
    const auto found = cycling_concentration(room, {.outdoor = 10 * ug_per_m3, .period = 3 * h});
    CHECK(found.greatest.value() == Approx(start).epsilon(1e-9));
    CHECK(found.least.value() == Approx(stop).epsilon(1e-9));
}

TEST_CASE("transient agrees with stepping, and tends to the steady state", "[own][zone]") {
    const Room room{.volume = 180 * m3,
                    .infiltration = 0.3 * per_h,
                    .penetration = 0.8,
                    .outdoor_air = 90 * m3_per_h,
                    .outdoor_air_efficiency = 0.6,
                    .deposition = 0.2 * per_h,
                    .recirculated = 900 * m3_per_h,
                    .recirculating_efficiency = 0.4,
                    .running_fraction = 0.7,
                    .clean_air_delivery = 120 * m3_per_h,
                    .source = MassFlow::from_value(1e-9)};
    for (const double hours : {0.1, 1.0, 6.0}) {
        const auto found =
            concentration_after(room, {.initial = 40 * ug_per_m3, .outdoor = 12 * ug_per_m3, .elapsed = hours * h});
        CHECK(found.value() == Approx(stepped(room, 12e-9, 40e-9, hours * 3600, 0.7)).epsilon(1e-9));
    }
    const auto late =
        concentration_after(room, {.initial = 40 * ug_per_m3, .outdoor = 12 * ug_per_m3, .elapsed = 100 * h});
    CHECK(late.value() == Approx(steady_concentration(room, 12 * ug_per_m3).value()).epsilon(1e-12));
    CHECK(loss_rate(room) / per_h == Approx(0.3 + 0.5 + 0.2 + 0.7 * 0.4 * 5.0 + 120.0 / 180.0).epsilon(1e-12));
    // A closed room with a source alone: the concentration rises in a line.
    const Room closed{.volume = 50 * m3, .source = MassFlow::from_value(1e-9)};
    const auto risen = concentration_after(closed, {.elapsed = 1 * h});
    CHECK(risen.value() == Approx(1e-9 * 3600 / 50).epsilon(1e-9));
}

TEST_CASE("one filter for mixed air: mixed-air algebra", "[own][zone]") {
    // C = (N + Vo (1 - E) Co) / (Vo + E Vr), physics of one filter behind the mixing point (formula from memory).
    const double e = 0.55, vo = 0.2, vr = 0.8, n = 3e-9, co = 2e-8;
    const Room room{.volume = 400 * m3,
                    .outdoor_air = VolumeFlow::from_value(vo),
                    .outdoor_air_efficiency = e,
                    .recirculated = VolumeFlow::from_value(vr),
                    .recirculating_efficiency = e,
                    .source = MassFlow::from_value(n)};
    CHECK(steady_concentration(room, MassConcentration::from_value(co)).value() ==
          Approx((n + vo * (1 - e) * co) / (vo + e * vr)).epsilon(1e-12));
}

TEST_CASE("the room's derivatives by dual numbers agree with differences", "[own][zone]") {
    using D = Dual<2>;
    const auto ratio = [](double efficiency, double running) {
        Room room = cycling_room();
        room.recirculating_efficiency = efficiency;
        room.running_fraction = running;
        return cycling_concentration(room, {.outdoor = MassConcentration::from_value(1.0), .period = 2 * h})
            .mean.value();
    };
    const Room plain = cycling_room();
    BasicRoom<D> room;
    room.volume = BasicVolume<D>::from_value(D(plain.volume.value()));
    room.infiltration = BasicRate<D>::from_value(D(plain.infiltration.value()));
    room.deposition = BasicRate<D>::from_value(D(plain.deposition.value()));
    room.recirculated = BasicVolumeFlow<D>::from_value(D(plain.recirculated.value()));
    room.recirculating_efficiency = D::input(0.5, 0);
    room.running_fraction = D::input(0.2, 1);
    const auto mean = cycling_concentration(room, BasicFanCycle<D>{BasicMassConcentration<D>::from_value(D(1.0)),
                                                                   BasicTime<D>::from_value(D(7200.0))})
                          .mean.value();
    const double step = 1e-5;
    CHECK(mean.derivative[0] == Approx((ratio(0.5 + step, 0.2) - ratio(0.5 - step, 0.2)) / (2 * step)).epsilon(1e-7));
    CHECK(mean.derivative[1] == Approx((ratio(0.5, 0.2 + step) - ratio(0.5, 0.2 - step)) / (2 * step)).epsilon(1e-7));
}

TEST_CASE("a room refuses what cannot be", "[own][zone]") {
    Room room = cycling_room();
    room.recirculating_efficiency = 1.2;
    CHECK_THROWS_WITH(loss_rate(room), Contains("recirculating_efficiency = 1.2; required: from 0 to 1"));
    CHECK_THROWS_WITH(steady_concentration(Room{.volume = 50 * m3}, 1 * ug_per_m3),
                      Contains("loss rate of the room = 0 1/s"));
    CHECK_THROWS_WITH(loss_rate(Room{}), Contains("volume = 0 m3; required: > 0"));
    CHECK_THROWS_AS(cycling_concentration(cycling_room(), {.outdoor = 1 * ug_per_m3}), DomainError);
    CHECK_THROWS_AS(concentration_after(cycling_room(), {.elapsed = Time::from_value(std::nan(""))}), DomainError);
}
