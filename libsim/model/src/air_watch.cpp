#include "air_watch.hpp"

#include <algorithm>

namespace lapheat::model {
namespace {

constexpr double turned_back = -0.01;  // kg/s through a core that is more than a breath
constexpr double worth_telling = 5;    // s; shorter spells are switching, not working

void note(Result& result, double seconds, const std::string& subject, Code code) {
    if (seconds >= worth_telling)
        result.warnings.push_back({code, subject, {}, {{seconds, units::Quantity::time}}});
}

}  // namespace

AirWatch::AirWatch(const Dynamics& dynamics)
    : dynamics_(&dynamics),
      alternator_(airflow::alternator_curve(dynamics.model().car.electrics.alternator)),
      paths_(dynamics.model().paths.size()),
      fans_(dynamics.model().fans.size()) {}

void AirWatch::look(double t) {
    const Model& m = dynamics_->model();
    const double dt = started_ ? t - last_ : 0;
    last_ = t;
    started_ = true;
    driven_ += dt;
    double amperes = 0;
    for (std::size_t f = 0; f < fans_.size(); ++f) {
        const FanOutput& fan = dynamics_->out().fans[f];
        amperes += fan.current;
        fans_[f].peak = std::max(fans_[f].peak, fan.flow);
        if (fan.speed < 0.1) continue;
        fans_[f].running += dt;
        fans_[f].air += fan.flow * dt;
        fans_[f].energy += fan.power * dt;
    }
    fan_current_ = std::max(fan_current_, amperes);
    if (dynamics_->row().engine_on) {
        const double demand = amperes + m.car.electrics.other_loads;
        const double lacking = demand - alternator_.at(dynamics_->row().engine_speed);
        current_ = std::max(current_, demand);
        shortfall_ = std::max(shortfall_, lacking);
        charge_ += std::max(0.0, lacking) * dt;
    }
    for (std::size_t p = 0; p < paths_.size(); ++p) {
        const airflow::PathFlow& flow = dynamics_->out().paths[p].flow;
        const auto turned = [](double kg) { return kg < turned_back; };
        if (std::any_of(flow.core_flow.begin(), flow.core_flow.end(), turned))
            paths_[p].backwards += dt;
        if (flow.outside_fit) paths_[p].outside_fit += dt;
        if (flow.possibly_multiple) paths_[p].two_points += dt;
        if (dynamics_->out().paths[p].shares_limited) paths_[p].shares_limited += dt;
        const FlatPath& path = m.paths[p];
        for (std::size_t f = 0; f < path.fans.size(); ++f) {
            const airflow::FanPoint& point = flow.fans[f];
            FanTime& time = fans_[at(path.fans[f])];
            // A fan spinning up or running down passes all of these.
            const bool runs = point.speed > 0.3, still = point.speed < 0.02;
            if (runs && point.stalled) time.stalled += dt;
            if (runs && point.overblown) time.overblown += dt;
            if (!still && point.reversed) time.reversed += dt;
            if (still && point.windmilling) time.windmilling += dt;
        }
    }
}

void AirWatch::tell(Result& result) const {
    const Model& m = dynamics_->model();
    result.peak_fan_current = fan_current_;
    result.peak_current = current_;
    result.idle_capacity = alternator_.at(m.car.vehicle.engine.idle_speed);
    result.current_shortfall = shortfall_;
    result.battery_charge = charge_;
    for (std::size_t p = 0; p < paths_.size(); ++p) {
        const std::string& path = m.paths[p].name;
        note(result, paths_[p].backwards, path, Code::air_backwards);
        note(result, paths_[p].outside_fit, path, Code::air_beyond_fit);
        note(result, paths_[p].two_points, path, Code::air_two_points);
        note(result, paths_[p].shares_limited, path, Code::air_shares_scaled);
    }
    for (std::size_t f = 0; f < fans_.size(); ++f) {
        const FanTime& time = fans_[f];
        const double ran = time.running > 0 ? time.running : 1;
        result.fans.push_back({m.fans[f].name, m.car.fans[f].fan.curve.flow.back(),
                               driven_ > 0 ? time.running / driven_ : 0, time.air / ran, time.peak,
                               time.energy / ran});
        note(result, fans_[f].stalled, m.fans[f].name, Code::fan_stalled);
        note(result, fans_[f].reversed, m.fans[f].name, Code::fan_reversed);
    }
    if (charge_ > 0)
        result.warnings.push_back({Code::loads_beyond_alternator,
                                   {},
                                   {},
                                   {{shortfall_, units::Quantity::electric_current},
                                    {charge_, units::Quantity::electric_charge}}});
}

}  // namespace lapheat::model
