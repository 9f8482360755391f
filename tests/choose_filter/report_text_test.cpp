// SPDX-License-Identifier: BSL-1.0

#include "support/catch.hpp"

#include <cmath>
#include <limits>
#include <optional>

#include <filterflow/study/study_words.hpp>

#include "report_estimate.hpp"
#include "report_text.hpp"

using namespace choose_filter;

TEST_CASE("numbers are rounded by their uncertainty", "[own]") {
    CHECK(estimate_text({123.4, 119.9, 126.9}) == "123 ± 4");          // a leading 3 or more: one digit
    CHECK(estimate_text({45.64, 45.44, 45.84}) == "45.64 ± 0.20");     // a leading 1 or 2: two digits
    CHECK(estimate_text({5321.0, 5211.0, 5431.0}) == "5320 ± 110");
    CHECK(estimate_text({-52.0, -57.0, -47.0}) == "−52 ± 5");
    CHECK(estimate_text({0.4, -49.6, 50.4}) == "0 ± 50");              // and never "-0"
    CHECK(estimate_text({-0.4, -50.4, 49.6}) == "0 ± 50");
    CHECK(estimate_text({2.0, 2.0, 2.0}) == "2");                      // exact: at most four digits
    CHECK(estimate_text({149.4533, 149.4533, 149.4533}) == "149.5");
    CHECK(estimate_text({2718.0, 2718.0, 2718.0}) == "2718");
    CHECK(estimate_text({400.0, 400.0, 400.0}) == "400");
    CHECK(estimate_text({123456.0, 122456.0, 124456.0}) == "123\u202f500 ± 1000");
    CHECK(interval_text({123.4, 119.9, 126.9}) == "120 to 127");
    CHECK(decimals_for(0.0) == 0);
    CHECK(significant_text(0.0123456) == "0.0123");
    CHECK(significant_text(98765.0, 2) == "99\u202f000");
    CHECK(significant_text(0.0) == "0");
}

TEST_CASE("an interval of draws holds its value as printed, or says that it does not", "[own]") {
    CHECK(estimate_text({4200.0, 4200.1, 4200.7}) == "4200 (4200 to 4201)");
    CHECK(estimate_text({4200.8, 4200.1, 4200.72}) == "4201 (4200 to 4201)");
    CHECK(estimate_text({100.0, 120.0, 150.0}) == "100 (outside 120 to 150)");
    CHECK(estimate_text({160.0, 120.0, 150.0}) == "160 (outside 120 to 150)");
    CHECK(estimate_text({130.0, 120.0, 150.0}) == "130 (120 to 150)");
}

TEST_CASE("rounding does not put a number into an interval that it is not in", "[own]") {
    CHECK(estimate_text({6.0, 3.33, 12.0}) == "6 (3 to 12)");
    CHECK(estimate_text_apart({6.0, 3.33, 12.0}, 3.0) == "6.0 (3.3 to 12.0)");
    CHECK(estimate_text_apart({6.0, 3.33, 12.0}, 2.0) == "6 (3 to 12)");       // 2 lies apart from 3
    CHECK(estimate_text_apart({6.0, 3.33, 12.0}, 7.0) == "6 (3 to 12)");       // inside
    CHECK(estimate_text_apart({6.0, 3.33, 11.96}, 12.0) == "6.00 (3.33 to 11.96)");
    CHECK(estimate_text({6.4, 3.2, 9.6}) == "6 ± 3");
    CHECK(estimate_text_apart({6.4, 3.2, 9.6}, 3.0) == "6.4 ± 3.2");
    CHECK(estimate_text_apart({6.4, 3.2, 9.6}, 1.0) == "6 ± 3");
}

TEST_CASE("a share keeps between nothing and all", "[own]") {
    CHECK(estimate_text(share(Estimate{99.0, 96.0, 102.0})) == "96.0 to 100.0");   // half width 2.0: two digits of it
    CHECK(estimate_text(share(Estimate{97.0, 90.0, 104.0})) == "90 to 100");
    CHECK(estimate_text(share(Estimate{3.0, -2.0, 8.0})) == "0 to 8");
    CHECK(estimate_text(share(Estimate{50.0, -10.0, 110.0})) == "0 to 100");
    CHECK(estimate_text(share(Estimate{40.1, 39.8, 40.4})) == "40.1 ± 0.3");
    CHECK(estimate_text(share(Estimate{100.0, 100.0, 100.0})) == "100");
    // One decimal at most, so that a column of shares is even.
    CHECK(estimate_text(share(Estimate{65.81, 65.63, 65.99})) == "65.8 ± 0.2");
    CHECK(estimate_text(share(Estimate{65.81, 65.80, 65.82})) == "65.8 ± 0.1");
    CHECK(estimate_text(share(Estimate{31.3, 26.1, 36.5})) == "31 ± 5");
    // Readings that contradict themselves are shown as they are.
    CHECK(estimate_text(share(Estimate{-9.0, -13.0, -5.0})) == "−9 ± 4");
    CHECK_FALSE(share(std::optional<Estimate>()).has_value());
}

TEST_CASE("what cannot be negative says so", "[own]") {
    CHECK(estimate_text(not_negative({100.0, -10.0, 210.0})) == "100 (0 to 210)");
    CHECK(estimate_text(scaled(not_negative({100.0, -10.0, 210.0}), 0.5)) == "50 (0 to 110)");
    CHECK(estimate_text(not_negative({100.0, 96.0, 104.0})) == "100 ± 4");
    CHECK(estimate_text(not_negative({-52.0, -57.0, -47.0})) == "−52 ± 5");
}

TEST_CASE("a value alone is rounded by its interval to a whole number, without an exponent", "[own]") {
    CHECK(whole_text({52.0, 12.0, 92.0}) == "50");
    CHECK(whole_text({2163.0, 740.0, 3586.0}) == "2200");
    CHECK(whole_text({2763.4, 2761.4, 2765.4}) == "2763");
    CHECK(whole_text({7.98, 7.5, 8.46}) == "8");
    CHECK(whole_text({52.0, -3948.0, 4052.0}) == "50");   // never nothing where there is something
    CHECK(whole_text({1234567.0, 1000000.0, 1500000.0}) == "1\u202f230\u202f000");
    CHECK(whole_text({149.4533, 149.4533, 149.4533}) == "149");
    CHECK(whole_text({0.0, -1.0, 1.0}) == "0");
    // As the library's sentences round the same value.
    for (const double half : {0.3, 2.2, 51.0, 941.0}) {
        for (const double value : {1271.0, 2598.0}) {
            const std::string sentence = filterflow::detail::rounded_by(value, half);
            CHECK(whole_text({value, value - half, value + half}) == sentence.substr(0, sentence.find('.')));
        }
    }
    CHECK(significant_text(12345678.0) == "12\u202f300\u202f000");
    CHECK(estimate_text({12345678.0, 12045678.0, 12645678.0}) == "12\u202f300\u202f000 ± 300\u202f000");
}

TEST_CASE("the page and the library's sentences round alike", "[own]") {
    for (const double half : {0.0123, 0.29, 0.2951, 0.96, 1.0, 2.94, 2.96, 9.96, 59.6, 87.0, 140.0, 2999.0}) {
        for (const double value : {0.0, 7.3, 660.4, 1999.5}) {
            CAPTURE(value, half);
            CHECK(estimate_text({value, value - half, value + half}) ==
                  typeset(filterflow::detail::rounded_with(value, 0.5 * ((value + half) - (value - half)))));
        }
    }
}

TEST_CASE("what is not finite is not printed", "[own]") {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    constexpr double infinity = std::numeric_limits<double>::infinity();
    CHECK(fixed_text(nan, 2) == "-");
    CHECK(significant_text(infinity) == "-");
    CHECK(exact_text(nan).empty());
    CHECK(exact_text(-infinity).empty());
    CHECK_FALSE(estimate(filterflow::Uncertain<double>(nan), 1.0, 0.95));
    CHECK_FALSE(estimate(filterflow::uncertain(infinity, 1.0, "x"), 1.0, 0.95));
    CHECK(estimate(filterflow::uncertain(1.0, 1.0, "x"), 1.0, 0.95));
}

TEST_CASE("texts of files are exact", "[own]") {
    for (const double x : {0.1, 1.0 / 3.0, 6.02214076e23, -2.3e-300, 123456789.123456789}) {
        CHECK(std::stod(exact_text(x)) == x);
    }
}

TEST_CASE("user strings cannot leave their place", "[own]") {
    CHECK(html_text("<script>alert('x')</script> & \"y\"") ==
          "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt; &amp; &quot;y&quot;");
    CHECK(html_text("a\nb\tc\x01") == "a b c ");
    CHECK(html_text("caf\xC3\xA9 \xE2\x82\xAC") == "café €");
    CHECK(html_text("\xFF\xC3(\xE2\x82") == "��(��");             // broken UTF-8
    CHECK(html_text("\xED\xA0\x80\xC0\xAF") == "�����");          // surrogate, overlong form
    CHECK(one_line("a\r\nb\u2028c\u202ed") == "a  b c d");        // separators and direction overrides too
    CHECK(csv_text("plain") == "plain");
    CHECK(csv_text("a,b") == "\"a,b\"");
    CHECK(csv_text("say \"no\"") == "\"say \"\"no\"\"\"");
    CHECK(csv_text("two\nlines") == "two lines");
    CHECK(csv_text("=1+1") == "'=1+1");                           // no formula for a spreadsheet
    CHECK(csv_text("@x,y") == "\"'@x,y\"");
}

TEST_CASE("sentences of the library are set for a page", "[own]") {
    CHECK(typeset("Fit '2-inch pleat' (limit 2294 m3/h): 770 +- 90, 0.3-1 um; the equipment's nameplate") ==
          "Fit ‘2-inch pleat’ (limit 2294 m³/h): 770 ± 90, 0.3-1 µm; the equipment’s nameplate");
    CHECK(typeset("umbra, album, um") == "umbra, album, µm");
    CHECK(with_set_units("4 +- 1 ug/m3, 2 m3/h, 3 m3 of 'm3x', 7 m2/g") ==
          "4 ± 1 µg/m³, 2 m³/h, 3 m³ of 'm3x', 7 m²/g");
    CHECK(typeset("").empty());
}

TEST_CASE("columns are counted as they are seen", "[own]") {
    CHECK(display_width("m³/h") == 4);
    CHECK(display_width("e\u0301") == 1);       // combining accent
    CHECK(display_width("漢字") == 4);
    CHECK(padded_right("m³", 4) == "m³  ");
    CHECK(padded_left("µ", 3) == "  µ");
    CHECK(cut_to_width("filter", 6) == "filter");
    CHECK(cut_to_width("filters", 6) == "filte…");
    CHECK(display_width(cut_to_width("漢字漢字", 6)) <= 6);
    const auto lines = wrapped("one two three four five six", 9);
    REQUIRE(lines.size() == 4);
    CHECK(lines[0] == "one two");
    CHECK(lines[1] == "three");
    CHECK(lines[2] == "four five");
    CHECK(lines[3] == "six");
}

TEST_CASE("covariance comes from shared inputs", "[own]") {
    // x = a + b, y = 2 a - c: cov = 2 u(a)^2
    const auto a = filterflow::uncertain(1.0, 0.3, "a");
    const auto b = filterflow::uncertain(1.0, 0.5, "b");
    const auto c = filterflow::uncertain(1.0, 0.7, "c");
    const auto x = a + b;
    const auto y = scaled(a, 2.0) - c;
    CHECK(covariance(x.gradient, y.gradient) == Approx(2.0 * 0.09));
    CHECK(covariance(x.gradient, x.gradient) == Approx(x.gradient.variance()));
    CHECK(covariance(b.gradient, c.gradient) == 0.0);
}
