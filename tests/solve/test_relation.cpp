#include <catch2/catch.hpp>
#include <set>

#include "lapheat/solve/relation.hpp"
#include "lapheat/solve/relation_scatter.hpp"

using namespace lapheat::solve;

TEST_CASE("every relation has one name of its own, in the order of the enumeration") {
    std::set<std::string_view> names;
    for (std::size_t i = 0; i < relation_count; ++i) {
        CHECK(relation_names[i].relation == static_cast<Relation>(i));
        CHECK(names.insert(relation_names[i].name).second);
        CHECK(relation_names[i].words.empty() == (i == 0));
    }
}

TEST_CASE("a relation outside a perturbed build is passed on as it is") {
    CHECK(perturbed(Relation::louvred_film, 0.0123) == 0.0123);
}

TEST_CASE("what the checks found of a relation has points to show for it, or is called judged") {
    for (const RelationName& r : relation_names) {
        INFO(r.name);
        const Scatter s = scatter(r.relation);
        CHECK((s.points > 0) == (s.rows > 0));
        CHECK(s.points >= s.rows);
        if (s.points == 0) CHECK((s.basis == Basis::judged || s.basis == Basis::none));
        if (s.basis == Basis::none) CHECK(s.spread == 0);
        // One point knows no scatter of its own: what its source claims must be in the spread.
        if (s.basis == Basis::outside || s.basis == Basis::from_memory) CHECK(s.spread > 0);
        if (s.basis == Basis::judged) CHECK((s.bias == 0 && s.spread >= 0.03));
    }
    CHECK(scatter(Relation::none).points == 0);
}

TEST_CASE("every relation in use states its doubt") {
    for (std::size_t i = 1; i < relation_count; ++i) {
        INFO(relation_names[i].name);
        CHECK(scatter(relation_names[i].relation).basis != Basis::none);
    }
}
