// SPDX-License-Identifier: BSL-1.0
// Dual numbers against differences and identities.

#include <array>
#include <cmath>
#include <cstddef>
#include <type_traits>

#include <filterflow/core/units.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using D = Dual<2>;

static_assert(std::is_same_v<decltype(D() * D()), D>, "no expression templates: auto never dangles");
static_assert(std::is_same_v<decltype(2.0 * D()), D>);

namespace {

/// Derivative of a function by a fourth-order difference.
template <class F>
double difference(const F& f, double x) {
    const double h = 1e-3 * std::max(1.0, std::abs(x));
    return (8.0 * (f(x + h) - f(x - h)) - (f(x + 2 * h) - f(x - 2 * h))) / (12.0 * h);
}

template <class F>
void check_function(const char* name, const F& f, double x) {
    INFO(name << " at " << x);
    const D y = f(D::input(x, 1));
    CHECK(y.value == f(x));
    CHECK(y.derivative[0] == 0.0);
    CHECK(y.derivative[1] == Approx(difference(f, x)).epsilon(1e-8).margin(1e-12));
}

}   // namespace

TEST_CASE("elementary functions of a dual carry the right slope", "[own]") {
    using std::abs, std::atan, std::cbrt, std::cos, std::cosh, std::erf, std::exp, std::expm1, std::log, std::log10,
        std::log1p, std::pow, std::sin, std::sinh, std::sqrt, std::tanh;
    for (const double x : {0.3, 1.7, 4.2}) {
        check_function("sqrt", [](auto t) { return sqrt(t); }, x);
        check_function("cbrt", [](auto t) { return cbrt(t); }, x);
        check_function("exp", [](auto t) { return exp(t); }, x);
        check_function("expm1", [](auto t) { return expm1(t); }, x);
        check_function("log", [](auto t) { return log(t); }, x);
        check_function("log1p", [](auto t) { return log1p(t); }, x);
        check_function("log10", [](auto t) { return log10(t); }, x);
        check_function("sin", [](auto t) { return sin(t); }, x);
        check_function("cos", [](auto t) { return cos(t); }, x);
        check_function("sinh", [](auto t) { return sinh(t); }, x);
        check_function("cosh", [](auto t) { return cosh(t); }, x);
        check_function("tanh", [](auto t) { return tanh(t); }, x);
        check_function("atan", [](auto t) { return atan(t); }, x);
        check_function("erf", [](auto t) { return erf(t); }, x);
        check_function("erfc", [](auto t) { return erfc(t); }, x);
        check_function("abs", [](auto t) { return abs(t); }, -x);
        check_function("pow", [](auto t) { return pow(t, 1.37); }, x);
        check_function("quotient", [](auto t) { return (t * t - 2.0) / (1.0 + t * t * t); }, x);
    }
}

TEST_CASE("a power with a dual exponent carries both slopes", "[own]") {
    const D y = pow(D::input(2.0, 0), D::input(3.0, 1));
    CHECK(y.value == 8.0);
    CHECK(y.derivative[0] == Approx(12.0));
    CHECK(y.derivative[1] == Approx(8.0 * std::log(2.0)));
    const D at_zero = pow(D::input(0.0, 0), D::input(2.0, 1));
    CHECK(at_zero.value == 0.0);
    CHECK(at_zero.derivative[0] == 0.0);
    CHECK(at_zero.derivative[1] == 0.0);
}

TEST_CASE("product and quotient rules hold in two variables", "[own]") {
    const D x = D::input(3.0, 0), y = D::input(0.5, 1);
    const D f = x * y - x / y + 2.0 * (-y);
    CHECK(f.value == Approx(3.0 * 0.5 - 6.0 - 1.0));
    CHECK(f.derivative[0] == Approx(0.5 - 2.0));
    CHECK(f.derivative[1] == Approx(3.0 + 3.0 / 0.25 - 2.0));
    D z = x;
    z *= z;   // aliasing
    CHECK(z.value == 9.0);
    CHECK(z.derivative[0] == 6.0);
    z = x;
    z /= D(z);
    CHECK(z.value == 1.0);
    CHECK(z.derivative[0] == 0.0);
}

TEST_CASE("comparisons look at the value alone, isfinite at everything", "[own]") {
    CHECK(D::input(1.0, 0) == D(1.0));
    CHECK(D(1.0) < D(2.0));
    CHECK(D(2.0) >= 2.0);
    CHECK_FALSE(D(std::nan("")) == D(std::nan("")));
    CHECK(isfinite(D(1.0)));
    CHECK_FALSE(isfinite(sqrt(D::input(0.0, 0))));   // infinite slope
}

TEST_CASE("a dual is the value of a quantity", "[own]") {
    const auto length = BasicLength<D>::from_value(D::input(2.0, 0));
    const auto width = BasicLength<D>::from_value(D::input(5.0, 1));
    const BasicArea<D> area = D(0.5) * length * width;
    CHECK(area.value().value == 5.0);
    CHECK(area.value().derivative[0] == 2.5);
    CHECK(area.value().derivative[1] == 1.0);
}

TEST_CASE("functions differentiated for their arguments alone carry the same derivatives", "[own]") {
    using E = Dual<8>;
    const auto f = [](const auto& a, const auto& b, const auto& c) { return exp(a) * b / (c + a * b); };
    std::array<E, 3> x{E(0.3), E(1.7), E(4.2)};
    for (std::size_t k = 0; k < 3; ++k) {
        for (std::size_t i = 0; i < 8; ++i) x[k].derivative[i] = 0.1 * static_cast<double>(3 * i + 7 * k) - 1.0;
    }
    const E whole = f(x[0], x[1], x[2]), by_arguments = detail::chained(f, x[0], x[1], x[2]);
    CHECK(by_arguments.value == whole.value);
    const auto g = [](const auto& t) { return sqrt(t) / t; };
    const E one = g(x[2]), one_by_argument = detail::chained(g, x[2]);
    CHECK(one_by_argument.value == one.value);
    for (std::size_t i = 0; i < 8; ++i) {
        CHECK(by_arguments.derivative[i] == Approx(whole.derivative[i]).epsilon(1e-13).margin(1e-14));
        CHECK(one_by_argument.derivative[i] == Approx(one.derivative[i]).epsilon(1e-13).margin(1e-14));
    }
}
