// Slopes of the right-hand side by the state, for implicit steps: what is fast, and nothing else.
//
// Heat goes in as in Balance: what one store gains another loses or the ledger counts, so that the
// sum of all stores and sums has no slope, and an implicit step keeps the ledger to rounding.
#pragma once

#include <vector>

#include "flat.hpp"
#include "lapheat/solve/sparse_matrix.hpp"

namespace lapheat::model {

class Slopes {
  public:
    Slopes(const Model& model, solve::SparseMatrix& matrix, const std::vector<double>& kelvin)
        : model_(model),
          matrix_(matrix),
          kelvin_(kelvin),
          ledger_(model.layout[StateKind::ledger].first) {}

    /// K of a cell for each unit of its state.
    [[nodiscard]] double kelvin(int cell) const { return kelvin_[at(cell)]; }

    // Heat that grows by `watts` for each unit of a state.
    void into_cell(int c, int state, double watts) {
        matrix_.add(c, state, watts / model_.cells[at(c)].scale);
    }
    void across(int from, int to, int state, double watts) {
        into_cell(from, state, -watts);
        into_cell(to, state, watts);
    }
    void cross(LedgerId path, int state, double watts) {
        matrix_.add(ledger_ + path.index, state, watts);
    }
    /// Into a store of the car's own, J/K.
    void into_store(int store, double capacity, int state, double watts) {
        matrix_.add(store, state, watts / capacity);
    }

    /// A state's own rate.
    void rate(int row, int state, double per_second) { matrix_.add(row, state, per_second); }
    /// A state that follows another with a lag (s).
    void follows(int row, int state, double lag, double per_unit = 1) {
        matrix_.add(row, state, per_unit / lag);
        matrix_.add(row, row, -1 / lag);
    }

  private:
    const Model& model_;
    solve::SparseMatrix& matrix_;
    const std::vector<double>& kelvin_;
    const int ledger_;
};

}  // namespace lapheat::model
