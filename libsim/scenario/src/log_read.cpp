#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "lapheat/scenario/log.hpp"
#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"
#include "log_fields.hpp"
#include "log_layout.hpp"
#include "log_names.hpp"
#include "log_text.hpp"

namespace lapheat::scenario {
namespace {

using Layout = LogShape::Layout;

constexpr double held_again = 0.5;  ///< s after which an unchanged value is held once more
constexpr double half_day = 43200;

/// One channel while it is read.
struct Filling {
    Channel channel;
    std::size_t column = 0, stamps = 0;
    ToSi to_si;
    std::map<std::string, std::optional<ToSi>, std::less<>> glued;
    double changed_at = 0, first_at = 0, last_at = 0;
    std::size_t changes = 0;

    void put(double time, double value) {
        Channel& c = channel;
        ++c.samples;
        const bool first = c.time.empty();
        if (first) first_at = changed_at = time;
        if (time - last_at > 5) changed_at = time;  // nobody looked: a gap is no standing still
        last_at = time;
        const bool changed = !first && value != c.value.back();
        if (changed) {
            ++changes;
            const double step = std::abs(value - c.value.back());
            // Rounding of the unit's conversion is no step.
            if (step > 1e-6 && (c.step == 0 || step < c.step)) c.step = step;
            c.longest_still = std::max(c.longest_still, time - changed_at);
            changed_at = time;
        }
        if (!first && time <= c.time.back()) {
            if (time == c.time.back()) c.value.back() = value;
            return;
        }
        if (first || changed || time - c.time.back() >= held_again) {
            c.time.push_back(time);
            c.value.push_back(value);
        }
    }
    Channel finished() {
        channel.longest_still = std::max(channel.longest_still, last_at - changed_at);
        if (changes > 0) channel.interval = (last_at - first_at) / static_cast<double>(changes);
        return std::move(channel);
    }
};

class LogReader {
  public:
    LogReader(std::string file, LogShape shape, LogLayout layout, const LogOptions& options)
        : file_(std::move(file)),
          shape_(std::move(shape)),
          layout_(std::move(layout)),
          options_(options),
          last_(layout_.stamps.size(), 0),
          turned_(layout_.stamps.size(), 0) {
        for (const SignalColumn& s : layout_.signals) {
            add(s, s.name);
            if (layout_.layout == Layout::long_form) by_name_[s.name] = filling_.size() - 1;
        }
        for (const LeftOut& left : layout_.left_out) by_name_.try_emplace(left.column);
    }

    void row(std::vector<std::string>& fields, std::size_t line) {
        if (seen_++ < shape_.first_data) return;
        ++log_.rows;
        if (fields.size() != shape_.fields) ++log_.rows_odd;
        if (layout_.layout == Layout::stamp_each) {
            for (Filling& f : filling_)
                if (const auto at = stamp(fields, f.stamps)) value(f, fields, f.column, *at);
            return;
        }
        const auto at = stamp(fields, 0);
        if (!at) return;
        watch_gap(*at, line);
        if (layout_.layout == Layout::long_form) {
            named(fields, *at);
        } else {
            for (Filling& f : filling_) value(f, fields, f.column, *at);
        }
    }

    Log finish(std::string encoding) {
        log_.file = file_;
        log_.encoding = std::move(encoding);
        log_.separator = shape_.separator == '\t'  ? "tabs"
                         : shape_.separator == ';' ? "semicolons"
                         : shape_.separator == '|' ? "bars"
                                                   : "commas";
        log_.layout = layout_.layout == Layout::long_form    ? "one value a row"
                      : layout_.layout == Layout::stamp_each ? "a column of stamps for each signal"
                                                             : "one column a signal";
        log_.stamps = layout_.stamps.front().words;
        log_.decimal_comma = shape_.decimal_comma;
        log_.header_line = shape_.has_names ? shape_.names_line : 0;
        log_.title_lines = shape_.has_names ? shape_.names : shape_.first_data;
        log_.left_out = std::move(layout_.left_out);
        log_.notes = std::move(layout_.notes);
        for (Filling& f : filling_) {
            if (f.channel.time.empty()) {
                log_.left_out.push_back({f.channel.column, "it holds no value that can be used"});
                continue;
            }
            log_.duration = std::max(log_.duration, f.last_at);
            log_.channels.push_back(f.finished());
        }
        std::ranges::sort(log_.channels, {}, &Channel::signal);
        return std::move(log_);
    }

  private:
    Filling& add(const SignalColumn& s, const std::string& column) {
        Filling f;
        f.channel.signal = s.signal;
        f.channel.column = column;
        f.channel.unit = s.unit;
        f.channel.unit_guessed = s.unit_guessed;
        f.channel.mapped = s.mapped;
        f.column = s.column, f.stamps = s.stamps, f.to_si = s.to_si;
        filling_.push_back(std::move(f));
        return filling_.back();
    }

    /// Seconds since the first stamp of the file.
    std::optional<double> stamp(const std::vector<std::string>& fields, std::size_t which) {
        const StampColumn& s = layout_.stamps[which];
        const auto read = s.column < fields.size()
                              ? log_stamp(fields[s.column], shape_.decimal_comma)
                              : std::optional<LogStamp>{};
        if (!read) {
            const bool nothing = s.column < fields.size() && is_nothing(fields[s.column]);
            if (layout_.layout != Layout::stamp_each || !nothing) ++log_.rows_unstamped;
            return {};
        }
        double at = read->seconds * (read->kind == LogStamp::Kind::number ? s.scale : 1);
        if (read->kind == LogStamp::Kind::clock) {
            at += turned_[which];
            if (begun_ && at < last_[which] - half_day) at += 86400, turned_[which] += 86400;
        }
        if (!begun_) origin_ = at, begun_ = true;
        if (at < last_[which] && last_[which] != 0) {
            ++log_.rows_backwards;
            return {};
        }
        last_[which] = at;
        return at - origin_;
    }

    void watch_gap(double at, std::size_t) {
        if (log_.rows > 1 && at > previous_) {
            const double step = at - previous_;
            const double usual = steps_ > 0 ? sum_ / static_cast<double>(steps_) : step;
            if (step > 5 && step > 10 * usual) {
                log_.gaps.push_back({previous_, at});
            } else {
                sum_ += step, ++steps_;
            }
        }
        previous_ = std::max(previous_, at);
    }

    void value(Filling& f, const std::vector<std::string>& fields, std::size_t column, double at) {
        if (column >= fields.size() || is_nothing(fields[column])) {
            ++f.channel.empty;
            return;
        }
        const auto number = log_number(fields[column], shape_.decimal_comma);
        if (!number) {
            ++f.channel.unreadable;
            return;
        }
        ToSi si = f.to_si;
        if (!number->unit.empty()) {
            auto known = f.glued.find(number->unit);
            if (known == f.glued.end()) {
                const std::string unit = log_unit(number->unit);
                known = f.glued
                            .emplace(std::string{number->unit},
                                     to_si_of(unit, entry(f.channel.signal).quantity))
                            .first;
            }
            if (!known->second) {
                ++f.channel.unreadable;
                return;
            }
            si = *known->second;
        }
        const double x = si.offset + si.factor * number->value;
        if (!entry(f.channel.signal).possible.holds(x)) {
            ++f.channel.impossible;
            return;
        }
        f.put(at, x);
    }

    /// A row of the long form.
    void named(const std::vector<std::string>& fields, double at) {
        if (layout_.name >= fields.size()) return;
        const std::string& name = fields[layout_.name];
        auto known = by_name_.find(name);
        if (known == by_name_.end()) {
            known = by_name_.emplace(name, std::nullopt).first;
            const std::string unit =
                layout_.unit && *layout_.unit < fields.size() ? fields[*layout_.unit] : "";
            std::vector<std::string> values;
            if (layout_.value < fields.size()) values.push_back(fields[layout_.value]);
            const NameAndUnit both = parted(name);
            const Matched found = match(name, unit.empty() ? both.unit : unit, values,
                                        shape_.decimal_comma, options_);
            if (!found.as) {
                layout_.left_out.push_back({name, found.why});
            } else if (std::ranges::any_of(filling_, [&](const Filling& f) {
                           return f.channel.signal == found.as->signal;
                       })) {
                layout_.left_out.push_back(
                    {name, fmt::format("another tells {} already", entry(found.as->signal).name)});
            } else {
                known->second = filling_.size();
                add(*found.as, name).column = layout_.value;
            }
        }
        if (known->second) value(filling_[*known->second], fields, layout_.value, at);
    }

    std::string file_;
    LogShape shape_;
    LogLayout layout_;
    const LogOptions& options_;
    Log log_;
    std::vector<Filling> filling_;
    std::map<std::string, std::optional<std::size_t>, std::less<>> by_name_;
    std::vector<double> last_, turned_;
    double origin_ = 0, previous_ = 0, sum_ = 0;
    std::size_t seen_ = 0, steps_ = 0;
    bool begun_ = false;
};

}  // namespace

const Channel* Log::find(Signal signal) const {
    const auto at = std::ranges::find(channels, signal, &Channel::signal);
    return at == channels.end() ? nullptr : &*at;
}

const Channel& Log::at(Signal signal) const {
    if (const Channel* c = find(signal)) return *c;
    throw Error(fmt::format("has no {}", entry(signal).help),
                fmt::format("a column for {}; say which with --map {}=\"…\"", entry(signal).name,
                            entry(signal).name),
                {file});
}

Log read_log(const std::filesystem::path& file, const LogOptions& options) {
    LogText text(file);
    const std::string name = file.string();
    const std::string first{text.next()};
    LogShape shape = shape_of(first, name);
    LogLayout layout = layout_of(shape, options, name);
    const char separator = shape.separator;
    LogReader reader(name, std::move(shape), std::move(layout), options);
    LogRows rows(separator, [&reader](std::vector<std::string>& fields, std::size_t line) {
        reader.row(fields, line);
    });
    rows.feed(first);
    for (std::string_view block = text.next(); !block.empty(); block = text.next()) {
        if (options.cancel != nullptr && options.cancel->load())
            throw Error(Diagnostic{.code = Code::cancelled});
        rows.feed(block);
    }
    rows.finish();
    Log log = reader.finish(text.encoding());
    if (log.channels.empty())
        throw Error("has no column that tells of a signal this program uses",
                    "names such as \"coolant temperature\" or \"vehicle speed\"; or say which with "
                    "--map",
                    {name, log.header_line});
    return log;
}

std::vector<double> sampled(const Channel& channel, const std::vector<double>& times,
                            double longest) {
    const auto& t = channel.time;
    const auto& v = channel.value;
    std::vector<double> out;
    out.reserve(times.size());
    for (const double at : times) {
        const auto next = static_cast<std::size_t>(std::ranges::lower_bound(t, at) - t.begin());
        if (next == 0 || next == t.size()) {
            out.push_back(next == 0 ? v.front() : v.back());
        } else if (t[next] - t[next - 1] > longest) {
            out.push_back(std::numeric_limits<double>::quiet_NaN());
        } else {
            const double share = (at - t[next - 1]) / (t[next] - t[next - 1]);
            out.push_back(v[next - 1] + share * (v[next] - v[next - 1]));
        }
    }
    return out;
}

}  // namespace lapheat::scenario
