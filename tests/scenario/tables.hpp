// A table of the registry by its name, for tests.
#pragma once

#include <lapheat/scenario/registry.hpp>

#include <catch2/catch.hpp>
#include <string>

namespace lapheat::scenario {

inline const Table& table_named(const std::string& name) {
    for (const Table* table : all_tables())
        if (table->name == name) return *table;
    FAIL("no table '" << name << "'");
    return car_file();
}

}  // namespace lapheat::scenario
