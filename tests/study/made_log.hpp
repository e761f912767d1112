// A log that nobody drove, for a model to fill: speed, engine speed and air as given, and stand-ins
// for the temperatures of coolant and transmission fluid.
#pragma once

#include <algorithm>

#include "lapheat/scenario/log.hpp"

namespace made {

/// `duration` s, a row a second, in air of `ambient` K; `speed` gives m/s at a second.
template <class Speed>
lapheat::scenario::Log log(int duration, double ambient, Speed speed) {
    using lapheat::scenario::Channel;
    using lapheat::scenario::Signal;
    lapheat::scenario::Log out;
    out.file = "made up.csv";
    out.duration = duration;
    Channel road, air, engine, coolant, oil;
    road.signal = Signal::speed, air.signal = Signal::ambient;
    engine.signal = Signal::engine_speed;
    coolant.signal = Signal::coolant, oil.signal = Signal::transmission;
    for (int t = 0; t <= duration; ++t) {
        for (Channel* c : {&road, &air, &engine}) c->time.push_back(t);
        road.value.push_back(speed(t)), air.value.push_back(ambient), engine.value.push_back(150);
    }
    coolant.time = oil.time = {0, static_cast<double>(duration)};
    coolant.value = oil.value = {ambient, ambient};
    out.channels = {road, engine, coolant, oil, air};
    std::ranges::sort(out.channels, {}, &Channel::signal);
    return out;
}

}  // namespace made
