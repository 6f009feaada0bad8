#include "firmware/storage/kept.h"

#include <bit>
#include <cmath>
#include <limits>

#include "firmware/storage/crc32c.h"

namespace cornerbench::storage {

namespace {

constexpr std::uint32_t record_mark = 0x6B62'6331;
constexpr std::uint32_t record_version = 1;
constexpr std::size_t crc_at = record_size - 4;

/// Bits of one byte, which once said 0 or 1 for the first of them alone.
constexpr unsigned bit_zero_known = 1;
constexpr unsigned bit_zero_lost = 2;
constexpr unsigned bit_empty_known = 4;

/// Writes values one behind the other, lowest byte first.
class Writer {
  public:
    explicit Writer(Record& record) : record_(record) {}
    void put(std::uint64_t value, int bytes) {
        for (int i = 0; i < bytes; ++i) record_[at_++] = static_cast<std::uint8_t>(value >> (8 * i));
    }
    void put(double value) { put(std::bit_cast<std::uint64_t>(value), 8); }
    void put(float value) { put(std::bit_cast<std::uint32_t>(value), 4); }

  private:
    Record& record_;
    std::size_t at_ = 0;
};

class Reader {
  public:
    explicit Reader(std::span<const std::uint8_t> record) : record_(record) {}
    std::uint64_t take(int bytes) {
        std::uint64_t value = 0;
        for (int i = 0; i < bytes; ++i) value |= std::uint64_t{record_[at_++]} << (8 * i);
        return value;
    }
    std::uint32_t take_word() { return static_cast<std::uint32_t>(take(4)); }
    double take_double() { return std::bit_cast<double>(take(8)); }
    float take_float() { return std::bit_cast<float>(take_word()); }

  private:
    std::span<const std::uint8_t> record_;
    std::size_t at_ = 0;
};

bool is_finite(double value) {
    return std::fabs(value) <= std::numeric_limits<double>::max();
}

bool makes_sense(const Kept& kept) {
    bool finite = is_finite(kept.calibration.zero_ratio) && is_finite(kept.calibration.kg_per_ratio) &&
                  is_finite(kept.calibration.kg_per_ratio2) && is_finite(kept.zero_offset_kg);
    for (const double gain : kept.corner_gain) finite = finite && is_finite(gain) && gain > 0.0;
    for (const float ratio : kept.empty_ratio) finite = finite && is_finite(static_cast<double>(ratio));
    return finite && (!kept.calibrated || kept.calibration.kg_per_ratio > 0.0);
}

}  // namespace

Kept factory_kept() {
    Kept kept;
    kept.corner_gain.fill(1.0);
    return kept;
}

Record encode(const Kept& kept, std::uint32_t number) {
    Record record{};
    Writer writer(record);
    writer.put(record_mark, 4);
    writer.put(record_version, 4);
    writer.put(number, 4);
    writer.put(kept.calibrated ? 1u : 0u, 1);
    writer.put((kept.zero_known ? bit_zero_known : 0u) | (kept.zero_lost ? bit_zero_lost : 0u) |
                   (kept.empty_known ? bit_empty_known : 0u),
               1);
    writer.put(static_cast<std::uint8_t>(kept.unit), 2);
    writer.put(kept.calibration_changes, 4);
    writer.put(kept.configuration_changes, 4);
    writer.put(kept.calibration.zero_ratio);
    writer.put(kept.calibration.kg_per_ratio);
    writer.put(kept.calibration.kg_per_ratio2);
    writer.put(kept.zero_offset_kg);
    for (const double gain : kept.corner_gain) writer.put(gain);
    for (const float ratio : kept.empty_ratio) writer.put(ratio);
    const std::uint32_t crc = crc32c(std::span(record).first(crc_at));
    for (std::size_t i = 0; i < 4; ++i) record[crc_at + i] = static_cast<std::uint8_t>(crc >> (8 * i));
    return record;
}

std::optional<Decoded> decode(std::span<const std::uint8_t> record) {
    if (record.size() != record_size) return std::nullopt;
    Reader crc(record.subspan(crc_at));
    if (crc.take_word() != crc32c(record.first(crc_at))) return std::nullopt;
    Reader reader(record);
    if (reader.take_word() != record_mark || reader.take_word() != record_version) return std::nullopt;
    Decoded decoded;
    Kept& kept = decoded.kept;
    decoded.number = reader.take_word();
    const std::uint64_t calibrated = reader.take(1);
    const std::uint64_t zero = reader.take(1);
    const std::uint64_t unit = reader.take(2);
    if (calibrated > 1 || zero > (bit_zero_known | bit_zero_lost | bit_empty_known) ||
        unit > static_cast<std::uint64_t>(scale::MassUnit::pound))
        return std::nullopt;
    kept.calibrated = calibrated == 1;
    kept.zero_known = (zero & bit_zero_known) != 0;
    kept.zero_lost = (zero & bit_zero_lost) != 0;
    kept.empty_known = (zero & bit_empty_known) != 0;
    kept.unit = static_cast<scale::MassUnit>(unit);
    kept.calibration_changes = reader.take_word();
    kept.configuration_changes = reader.take_word();
    kept.calibration.zero_ratio = reader.take_double();
    kept.calibration.kg_per_ratio = reader.take_double();
    kept.calibration.kg_per_ratio2 = reader.take_double();
    kept.zero_offset_kg = reader.take_double();
    for (double& gain : kept.corner_gain) gain = reader.take_double();
    for (float& ratio : kept.empty_ratio) ratio = reader.take_float();
    if (!makes_sense(kept)) return std::nullopt;
    return decoded;
}

}  // namespace cornerbench::storage
