// The series of a run: each known by its group and name, and connected to where its value stands
// in the evaluation at hand. After a fault the same series go on from another model's evaluation.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "lapheat/model/result.hpp"

namespace lapheat::model {

class Channels {
  public:
    explicit Channels(std::vector<Series>& series) : series_(series) {}

    /// Says where the values of a series stand. Throws Error if two parts write the same series.
    void connect(const std::string& group, const std::string& name, const char* units,
                 const std::string& long_name, const double* source);
    /// Ends a round of connect(). Throws std::logic_error if the rounds differ in their series:
    /// what has begun would not go on, or what is new would lack its beginning.
    void connected();
    /// The next round of connect().
    void disconnect();

    /// Appends one value to each.
    void record();

  private:
    std::vector<Series>& series_;
    std::vector<const double*> sources_;  ///< of each series; nullptr: not connected
    std::map<std::pair<std::string, std::string>, std::size_t> number_;
    bool fixed_ = false;  ///< the first round is over
};

}  // namespace lapheat::model
