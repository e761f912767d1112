// The fit's solver against regressions whose answers are certified to eleven digits.
#include <cmath>
#include <fstream>
#include <functional>
#include <sstream>
#include <string>
#include <vector>

#include "check.hpp"
#include "lapheat/solve/least_squares.hpp"

using namespace lapheat;
using namespace lapheat::validation;

namespace {

using Values = std::vector<double>;
using Model = std::function<double(const Values& b, double x)>;

struct Case {
    std::string name, level;
    Model model;
};

struct Data {
    std::vector<Values> starts{2};
    Values certified, deviation, x, y;
    double sum_of_squares = 0;
};

/// Lines "b1 = start start value deviation", then columns of y and x behind "Data:".
Data read(const std::string& name) {
    std::ifstream in(LAPHEAT_SOURCE_DIR "/validation/solve/strd/" + name + ".dat");
    REQUIRE(in.good());
    Data out;
    bool rows = false;
    for (std::string line; std::getline(in, line);) {
        std::istringstream words(line);
        std::string first, equals;
        double a = 0, b = 0, c = 0, d = 0;
        if (line.rfind("Data:", 0) == 0 && line.find("Response") == std::string::npos) rows = true;
        if (rows) {
            if (words >> a >> b) out.y.push_back(a), out.x.push_back(b);
        } else if (words >> first >> equals >> a >> b >> c >> d && first[0] == 'b' &&
                   equals == "=") {
            out.starts[0].push_back(a), out.starts[1].push_back(b);
            out.certified.push_back(c), out.deviation.push_back(d);
        } else if (line.rfind("Residual Sum of Squares:", 0) == 0) {
            out.sum_of_squares = std::stod(line.substr(24));
        }
    }
    REQUIRE(out.y.size() > out.certified.size());
    REQUIRE_FALSE(out.certified.empty());
    return out;
}

double power(double x, double p) { return std::pow(x, p); }

const std::vector<Case>& cases() {
    static const std::vector<Case> all = {
        {"Misra1a", "lower", [](auto& b, double x) { return b[0] * (1 - std::exp(-b[1] * x)); }},
        {"Chwirut2", "lower",
         [](auto& b, double x) { return std::exp(-b[0] * x) / (b[1] + b[2] * x); }},
        {"DanWood", "lower", [](auto& b, double x) { return b[0] * power(x, b[1]); }},
        {"Lanczos3", "lower",
         [](auto& b, double x) {
             return b[0] * std::exp(-b[1] * x) + b[2] * std::exp(-b[3] * x) +
                    b[4] * std::exp(-b[5] * x);
         }},
        {"Gauss1", "lower",
         [](auto& b, double x) {
             return b[0] * std::exp(-b[1] * x) +
                    b[2] * std::exp(-power(x - b[3], 2) / power(b[4], 2)) +
                    b[5] * std::exp(-power(x - b[6], 2) / power(b[7], 2));
         }},
        {"Kirby2", "average",
         [](auto& b, double x) {
             return (b[0] + b[1] * x + b[2] * x * x) / (1 + b[3] * x + b[4] * x * x);
         }},
        {"MGH17", "average",
         [](auto& b, double x) {
             return b[0] + b[1] * std::exp(-x * b[3]) + b[2] * std::exp(-x * b[4]);
         }},
        {"Rat42", "higher",
         [](auto& b, double x) { return b[0] / (1 + std::exp(b[1] - b[2] * x)); }},
        {"Rat43", "higher",
         [](auto& b, double x) { return b[0] / power(1 + std::exp(b[1] - b[2] * x), 1 / b[3]); }},
        {"Thurber", "higher",
         [](auto& b, double x) {
             return (b[0] + b[1] * x + b[2] * x * x + b[3] * x * x * x) /
                    (1 + b[4] * x + b[5] * x * x + b[6] * x * x * x);
         }},
        {"MGH09", "higher",
         [](auto& b, double x) { return b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]); }},
        {"MGH10", "higher", [](auto& b, double x) { return b[0] * std::exp(b[1] / (x + b[2])); }},
        {"Eckerle4", "higher",
         [](auto& b, double x) {
             return b[0] / b[1] * std::exp(-0.5 * power((x - b[2]) / b[1], 2));
         }},
        {"BoxBOD", "higher", [](auto& b, double x) { return b[0] * (1 - std::exp(-b[1] * x)); }},
        {"Bennett5", "higher",
         [](auto& b, double x) { return b[0] * power(b[1] + x, -1 / b[2]); }}};
    return all;
}

solve::LeastSquares fit(const Case& c, const Data& data, const Values& start) {
    const solve::Residuals residuals = [&](const std::vector<Values>& points) {
        std::vector<Values> out;
        for (const Values& b : points) {
            Values r;
            for (std::size_t i = 0; i < data.x.size(); ++i)
                r.push_back(data.y[i] - c.model(b, data.x[i]));
            out.push_back(std::move(r));
        }
        return out;
    };
    solve::LeastSquaresOptions options;
    options.iterations = 2000;
    options.tolerance = 1e-15;
    return solve::least_squares(residuals, start, options);
}

}  // namespace

TEST_CASE("Certified regressions") {
    for (const Case& c : cases()) {
        const Data data = read(c.name);
        Row row{
            .topic = "Nonlinear least squares",
            .quantity = c.name + " (" + c.level +
                        " difficulty), both starts: parameters and "
                        "their standard deviations",
            .source =
                "NIST/ITL, Statistical Reference Datasets, nonlinear regression, set " + c.name,
            .read = "the copy in an open least-squares library's tests",
            .band = {.fraction = 1e-4,
                     .from = "four digits of the eleven certified: derivatives are differences"}};
        for (std::size_t s = 0; s < 2; ++s) {
            const solve::LeastSquares got = fit(c, data, data.starts[s]);
            const double degrees = static_cast<double>(data.y.size() - data.certified.size());
            solve::Matrix covariance = got.covariance();
            covariance *= got.sum_of_squares / degrees;
            for (std::size_t j = 0; j < data.certified.size(); ++j) {
                const std::string which =
                    "b" + std::to_string(j + 1) + ", start " + std::to_string(s + 1);
                row.points.push_back({which, data.certified[j], got.parameters[j]});
                row.points.push_back(
                    {"deviation of " + which, data.deviation[j], std::sqrt(covariance(j, j))});
            }
        }
        if (c.name == "BoxBOD")
            row.story =
                "ours: from the first start the first step lands where b2 x is so large that the "
                "model is flat and no difference tells which way is back; a shorter first step "
                "(radius 10 in place of 10 000) does not mend it and breaks MGH10 and MGH17. The "
                "second start is right to all digits asked. A fit of a car starts at its own "
                "ranges' middle and has bounds";
        published(row);
    }
}
