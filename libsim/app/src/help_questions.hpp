// A builder's questions with what to do, what to look at, and what is only common practice.
#pragma once

#include <span>
#include <string_view>

namespace lapheat::app {

struct QuestionPage {
    std::string_view topic, question, text;
};
[[nodiscard]] std::span<const QuestionPage> question_pages();
/// The page of that topic, or of the question that shares most words; nullptr if none does.
[[nodiscard]] const QuestionPage* page_for(std::string_view asked);

}  // namespace lapheat::app
