// Numbers as people say them, for sentences and the page.
#pragma once

#include "lapheat/results/words.hpp"

namespace lapheat::study {

using results::in_units, results::listed, results::percent, results::plain_name, results::say,
    results::say_length, results::say_number, results::say_time, results::sentence_case,
    results::unit_word, results::with_unit;

}  // namespace lapheat::study
