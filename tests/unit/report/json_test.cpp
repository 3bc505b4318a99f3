#include "report/json.hpp"

#include <doctest/doctest.h>

#include "tarebook/units/mass.hpp"

using tarebook::Mass;
using tarebook::report::Json;

TEST_CASE("json: a mass is a number of at most six decimals beside its exact count") {
    Json j = Json::object();
    j.add_mass("net", Mass::thousandths_of_a_pound(33'050));
    CHECK(j.page() == "{\n  \"net_lb\": 33.05,\n  \"net_count\": \"11992982262800\"\n}\n");
    // 1 g is 0.00220462262... lb (exact pound: 0.45359237 kg, NIST SP 811 App. B)
    Json gram = Json::object();
    gram.add_mass("net", Mass::from_count(Mass::counts_per_gram));
    CHECK(gram.page() == "{\n  \"net_lb\": 0.002205,\n  \"net_count\": \"800000000\"\n}\n");
}

TEST_CASE("json: less than nothing keeps its sign, and less than a millionth is not minus nothing") {
    Json j = Json::array();
    j.push(Json::pounds(-Mass::thousandths_of_a_pound(1'250))).push(Json::pounds(Mass::from_count(-1)));
    CHECK(j.page() == "[\n  -1.25,\n  0.0\n]\n");
}

TEST_CASE("json: no mass is null in both keys") {
    Json j = Json::object();
    j.add_mass("tare", {});
    CHECK(j.page() == "{\n  \"tare_lb\": null,\n  \"tare_count\": null\n}\n");
}

TEST_CASE("json: text is escaped, and bytes that are no UTF-8 do not break the page") {
    Json j = Json::array();
    j.push(Json::text("a \"b\"\n\\")).push(Json::text("\xff"));
    CHECK(j.page() == "[\n  \"a \\\"b\\\"\\n\\\\\",\n  \"\xEF\xBF\xBD\"\n]\n");
}

TEST_CASE("json: decimals drop the zeros they do not need") {
    Json j = Json::array();
    j.push(Json::decimal(59.5, 2))
        .push(Json::decimal(60.0, 2))
        .push(Json::decimal(-0.001, 2))
        .push(Json::decimal(100, 0));
    CHECK(j.page() == "[\n  59.5,\n  60,\n  0,\n  100\n]\n");
}

TEST_CASE("json: each page begins with its schema version, and an empty list stays on its line") {
    CHECK(tarebook::report::versioned("exceptions").add("items", Json::array()).page() ==
          "{\n  \"schema_version\": 2,\n  \"page\": \"exceptions\",\n  \"items\": []\n}\n");
}
