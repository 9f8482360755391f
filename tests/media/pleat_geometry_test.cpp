// SPDX-License-Identifier: BSL-1.0
// Geometry of packs with a medium of some thickness, both shapes.

#include <cmath>
#include <random>

#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

PleatPack triangular(double count, double radius_mm) {
    return {.count = count,
            .depth = 40 * mm,
            .width = 500 * mm,
            .length = 300 * mm,
            .shape = PleatShape::triangular,
            .fold_radius = radius_mm * mm};
}

}   // namespace

TEST_CASE("rectangular geometry is that of the pack", "[own]") {
    const PleatPack pack{.count = 28, .depth = 22 * mm, .width = 490 * mm, .length = 380 * mm, .inlet_gap_share = 0.6};
    const PleatGeometry geometry = pleat_geometry(pack, 0.6 * mm);
    const PleatGaps gaps = pleat_gaps(pack, 0.6 * mm);
    CHECK(geometry.pitch / mm == Approx(17.5));
    CHECK(geometry.inlet_mouth / mm == Approx(gaps.inlet / mm));
    CHECK(geometry.inlet_tip / mm == Approx(gaps.inlet / mm));
    CHECK(geometry.outlet_mouth / mm == Approx(gaps.outlet / mm));
    CHECK(geometry.outlet_tip / mm == Approx(gaps.outlet / mm));
    CHECK(geometry.wall_length / mm == Approx(22.0));
    CHECK(geometry.thickness_on_face / mm == Approx(0.6));
    CHECK(geometry.media_area / m2 == Approx(media_area(pack) / m2));
    CHECK(geometry.face_area / m2 == Approx(face_area(pack) / m2));
    CHECK(geometry.area_ratio == Approx(2 * 22 / 17.5));
}

TEST_CASE("triangular geometry closes", "[own]") {
    std::mt19937_64 random(1);
    std::uniform_real_distribution<double> unit(0, 1);
    for (std::size_t i = 0; i < test::sweep_length(500); ++i) {
        const double thickness = 0.2 + 3 * unit(random), radius = 0.1 + unit(random);
        const double pitch = (2 * thickness + 4 * radius) * (1 + 5 * unit(random));
        const PleatGeometry geometry = pleat_geometry(triangular(500 / pitch, radius), thickness * mm);
        // The fold leaves twice its radius; pitch and slant follow from mouth, tip and the medium along the face.
        CHECK(geometry.inlet_tip / mm == Approx(2 * radius));
        CHECK(geometry.outlet_tip / mm == Approx(2 * radius));
        CHECK(geometry.inlet_mouth / mm == Approx(geometry.outlet_mouth / mm));
        CHECK(geometry.inlet_mouth >= geometry.inlet_tip * (1 - 1e-12));
        const double tangent = (geometry.inlet_mouth - geometry.inlet_tip) / (2 * 40 * mm),
                     cosine = 1 / std::sqrt(1 + tangent * tangent);
        CHECK(geometry.thickness_on_face / mm == Approx(thickness / cosine));
        CHECK(geometry.wall_length / mm == Approx(40 / cosine));
        CHECK((geometry.inlet_mouth + geometry.inlet_tip + 2.0 * geometry.thickness_on_face) / mm ==
              Approx(pitch).epsilon(1e-12));
        CHECK(geometry.media_area / m2 == Approx(2 * (500 / pitch) * 0.3 * 0.04 / cosine));
    }
}

TEST_CASE("a sharp thin triangular pleat has the area ratio 1/sin of half its angle", "[own]") {
    const double pitch = 25;
    const PleatGeometry geometry = pleat_geometry(triangular(500 / pitch, 1e-7), 1e-7 * mm);
    CHECK(geometry.area_ratio == Approx(1 / std::sin(std::atan(pitch / 80))).epsilon(1e-6));
}

TEST_CASE("derivatives of the geometry agree with differences", "[own]") {
    using D = Dual<4>;
    const auto length = [](const D& x) { return BasicLength<D>::from_value(x); };
    const auto ratio = [](double count, double depth, double radius, double t) {
        PleatPack pack = triangular(count, radius * 1e3);
        pack.depth = depth * m;
        return pleat_geometry(pack, t * m).area_ratio;
    };
    const BasicPleatPack<D> pack{.count = D::input(60, 0),
                                 .depth = length(D::input(0.04, 1)),
                                 .width = length(D(0.5)),
                                 .length = length(D(0.3)),
                                 .shape = PleatShape::triangular,
                                 .fold_radius = length(D::input(0.4e-3, 2))};
    const D d = pleat_geometry(pack, length(D::input(0.8e-3, 3))).area_ratio;
    CHECK(d.value == Approx(ratio(60, 0.04, 0.4e-3, 0.8e-3)).epsilon(1e-14));
    CHECK(d.derivative[0] ==
          Approx((ratio(60.01, 0.04, 0.4e-3, 0.8e-3) - ratio(59.99, 0.04, 0.4e-3, 0.8e-3)) / 0.02).epsilon(1e-6));
    CHECK(d.derivative[1] ==
          Approx((ratio(60, 0.04001, 0.4e-3, 0.8e-3) - ratio(60, 0.03999, 0.4e-3, 0.8e-3)) / 2e-5).epsilon(1e-6));
    CHECK(d.derivative[2] ==
          Approx((ratio(60, 0.04, 0.401e-3, 0.8e-3) - ratio(60, 0.04, 0.399e-3, 0.8e-3)) / 2e-6).epsilon(1e-6));
    CHECK(d.derivative[3] ==
          Approx((ratio(60, 0.04, 0.4e-3, 0.801e-3) - ratio(60, 0.04, 0.4e-3, 0.799e-3)) / 2e-6).epsilon(1e-6));
}

TEST_CASE("a pack that cannot be folded is refused with the greatest count that can", "[own]") {
    // 500 mm over 2 * 0.8 mm + 4 * 0.4 mm is 156.25.
    CHECK(greatest_pleat_count(triangular(1, 0.4), 0.8 * mm) == 156.0);
    CHECK_NOTHROW(pleat_geometry(triangular(156, 0.4), 0.8 * mm));
    CHECK_THROWS_WITH(pleat_geometry(triangular(157, 0.4), 0.8 * mm),
                      Contains("count = 157") && Contains("at most 156"));
    // Rectangular: each gap has to hold a fold. 500/(2 * 0.8 + 2 * 0.4/0.4) = 138.9.
    PleatPack pack{.count = 138,
                   .depth = 40 * mm,
                   .width = 500 * mm,
                   .length = 300 * mm,
                   .inlet_gap_share = 0.6,
                   .fold_radius = 0.4 * mm};
    CHECK(greatest_pleat_count(pack, 0.8 * mm) == 138.0);
    CHECK_NOTHROW(pleat_geometry(pack, 0.8 * mm));
    CHECK(pleat_geometry(pack, 0.8 * mm).outlet_mouth >= 0.8 * mm);
    pack.count = 139;
    CHECK_THROWS_WITH(pleat_gaps(pack, 0.8 * mm), Contains("at most 138") && Contains("fold radius"));
    // Without a radius a gap must be left: 500/1.25 = 400 pleats would leave none.
    pack.fold_radius = 0 * mm;
    CHECK(greatest_pleat_count(pack, 0.625 * mm) == 399.0);
    PleatPack deep = pack;
    deep.depth = 400 * mm;
    CHECK_THROWS_WITH(pleat_geometry(deep, 300 * mm), Contains("not even one pleat"));
    CHECK(greatest_pleat_count(deep, 300 * mm) == 0.0);
    // Nor has a medium room that is thicker than its walls are deep, of either shape.
    for (const PleatShape shape : {PleatShape::rectangular, PleatShape::triangular}) {
        PleatPack flat = pack;
        flat.inlet_gap_share = 0.5;
        flat.shape = shape;
        flat.fold_radius = 0.5 * mm;
        flat.width = 590 * mm;
        flat.depth = 44 * mm;
        flat.count = 1;
        CHECK(greatest_pleat_count(flat, 60 * mm) == 0.0);
        CHECK_THROWS_WITH(pleat_geometry(flat, 60 * mm), Contains("below the depth 0.044 m"));
        flat.depth = 60.1 * mm;
        CHECK(greatest_pleat_count(flat, 60 * mm) == 4.0);
        flat.count = 4;
        CHECK_NOTHROW(pleat_geometry(flat, 60 * mm));
    }
    // With a radius the tightest pack may just touch.
    pack.inlet_gap_share = 0.5;
    pack.fold_radius = 0.2 * mm;   // 2 * 0.8 + 4 * 0.2 = 2.4; 480/2.4 = 200
    pack.width = 480 * mm;
    CHECK(greatest_pleat_count(pack, 0.8 * mm) == 200.0);
    pack.count = 200;
    CHECK_NOTHROW(pleat_geometry(pack, 0.8 * mm));
}

TEST_CASE("every greatest count can be folded and the next cannot", "[own]") {
    std::mt19937_64 random(2);
    std::uniform_real_distribution<double> unit(0, 1);
    for (std::size_t i = 0; i < test::sweep_length(1000); ++i) {
        const double thickness = (0.1 + 3 * unit(random)) * 1e-3;
        PleatPack pack{.count = 1, .depth = 40 * mm, .width = (50 + 1000 * unit(random)) * mm, .length = 300 * mm};
        if (i % 3 == 0) pack.inlet_gap_share = 0.2 + 0.6 * unit(random);
        if (i % 3 == 1) pack.shape = PleatShape::triangular;
        if (i % 2 == 0 || i % 3 == 1) pack.fold_radius = unit(random) * mm + 0.01 * mm;
        const double most = greatest_pleat_count(pack, thickness * m);
        INFO(i << " " << most);
        REQUIRE(most >= 1.0);
        pack.count = most;
        CHECK_NOTHROW(pleat_geometry(pack, thickness * m));
        pack.count = most + 1;
        CHECK_THROWS_AS(pleat_geometry(pack, thickness * m), DomainError);
    }
}

TEST_CASE("triangular packs refuse what they cannot be", "[own]") {
    CHECK_THROWS_WITH(pleat_geometry(triangular(50, 0), 0.8 * mm), Contains("fold_radius of a triangular pleat"));
    PleatPack skewed = triangular(50, 0.4);
    skewed.inlet_gap_share = 0.6;
    CHECK_THROWS_WITH(pleat_geometry(skewed, 0.8 * mm), Contains("inlet_gap_share = 0.6"));
    CHECK_THROWS_WITH(pleat_gaps(triangular(50, 0.4), 0.8 * mm), Contains("pleat_geometry"));
    CHECK_THROWS_WITH(media_area(triangular(50, 0.4)), Contains("pleat_geometry"));
    PleatPack shallow = triangular(5, 0.4);
    shallow.depth = 0.5 * mm;
    CHECK_THROWS_WITH(pleat_geometry(shallow, 0.8 * mm), Contains("below the depth"));
    CHECK_THROWS_AS(pleat_geometry(triangular(50, -1), 0.8 * mm), DomainError);
    CHECK_THROWS_AS(pleat_geometry(triangular(50, 0.4), 0 * mm), DomainError);
    CHECK_THROWS_AS(pleat_geometry(triangular(-1, 0.4), 0.8 * mm), DomainError);
}
