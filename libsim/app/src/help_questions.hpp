// A builder's questions with what to do, what to look at, and what is only common practice.
#pragma once

#include <span>
#include <string_view>
#include <vector>

namespace lapheat::app {

struct QuestionPage {
    std::string_view topic, question;
    std::string_view asks;  ///< further words of who asks it
    std::string_view text;
};
[[nodiscard]] std::span<const QuestionPage> question_pages();
/// Words rather than the name of a topic.
[[nodiscard]] bool is_question(std::string_view asked);
/// The page of that topic, or the one that is about what is asked; nullptr if none is.
[[nodiscard]] const QuestionPage* page_for(std::string_view asked);
/// All of them, those that have most of what is asked first.
[[nodiscard]] std::vector<const QuestionPage*> nearest_pages(std::string_view asked);

}  // namespace lapheat::app
