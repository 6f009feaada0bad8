#include "firmware/storage/record.h"

#include <bit>
#include <cmath>
#include <limits>

#include "firmware/storage/crc32c.h"

namespace cornerbench::storage {

namespace {

constexpr std::uint32_t record_magic = 0x6B62'6331;
constexpr std::uint32_t mark_magic = 0x6B62'6D31;
constexpr std::size_t crc_size = 4;
constexpr std::size_t last_reading_at = 248;

/// Bits of one byte, which once said 0 or 1 for the first of them alone.
constexpr unsigned bit_zero_known = 1;
constexpr unsigned bit_zero_lost = 2;
constexpr unsigned bit_empty_known = 4;
constexpr unsigned all_zero_bits = bit_zero_known | bit_zero_lost | bit_empty_known;

constexpr std::uint8_t most_decimals = 9;

/// Writes values one behind the other, lowest byte first.
class Writer {
  public:
    explicit Writer(std::span<std::uint8_t> bytes) : bytes_(bytes) {}
    void put(std::uint64_t value, int size) {
        for (int i = 0; i < size; ++i) bytes_[at_++] = static_cast<std::uint8_t>(value >> (8 * i));
    }
    void put(double value) { put(std::bit_cast<std::uint64_t>(value), 8); }
    void put(float value) { put(std::bit_cast<std::uint32_t>(value), 4); }
    /// CRC-32C of all before it, in the last four bytes.
    void seal() {
        at_ = bytes_.size() - crc_size;
        put(crc32c(bytes_.first(at_)), crc_size);
    }

  private:
    std::span<std::uint8_t> bytes_;
    std::size_t at_ = 0;
};

class Reader {
  public:
    explicit Reader(std::span<const std::uint8_t> bytes, std::size_t at = 0) : bytes_(bytes), at_(at) {}
    std::uint64_t take(int size) {
        std::uint64_t value = 0;
        for (int i = 0; i < size; ++i) value |= std::uint64_t{bytes_[at_++]} << (8 * i);
        return value;
    }
    std::uint32_t take_word() { return static_cast<std::uint32_t>(take(4)); }
    double take_double() { return std::bit_cast<double>(take(8)); }
    float take_float() { return std::bit_cast<float>(take_word()); }

  private:
    std::span<const std::uint8_t> bytes_;
    std::size_t at_ = 0;
};

bool is_whole(std::span<const std::uint8_t> bytes) {
    const std::size_t sealed = bytes.size() - crc_size;
    return Reader(bytes, sealed).take_word() == crc32c(bytes.first(sealed));
}

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

bool is_unit(std::uint64_t value) {
    return value <= static_cast<std::uint64_t>(scale::MassUnit::pound);
}

void put_reading(Writer& writer, const KeptReading& reading) {
    writer.put(reading.known ? 1u : 0u, 1);
    writer.put(reading.decimals, 1);
    writer.put(static_cast<std::uint8_t>(reading.unit), 2);
    writer.put(reading.ticket, 4);
    for (const std::int64_t digits : {reading.gross, reading.tare, reading.net})
        writer.put(static_cast<std::uint64_t>(digits), 8);
}

bool take_reading(Reader& reader, KeptReading& reading) {
    const std::uint64_t known = reader.take(1);
    reading.known = known == 1;
    reading.decimals = static_cast<std::uint8_t>(reader.take(1));
    const std::uint64_t unit = reader.take(2);
    reading.unit = static_cast<scale::MassUnit>(unit);
    reading.ticket = reader.take_word();
    for (std::int64_t* digits : {&reading.gross, &reading.tare, &reading.net})
        *digits = static_cast<std::int64_t>(reader.take(8));
    return known <= 1 && reading.decimals <= most_decimals && is_unit(unit);
}

/// What both versions have, from the number on.
std::optional<Decoded> take_first_fields(std::span<const std::uint8_t> record) {
    Reader reader(record, 8);
    Decoded decoded;
    Kept& kept = decoded.kept;
    decoded.number = reader.take_word();
    const std::uint64_t calibrated = reader.take(1);
    const std::uint64_t zero = reader.take(1);
    const std::uint64_t unit = reader.take(2);
    if (calibrated > 1 || zero > all_zero_bits || !is_unit(unit)) return std::nullopt;
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

}  // namespace

Record encode(const Kept& kept, std::uint32_t number) {
    Record record{};
    Writer writer(record);
    writer.put(record_magic, 4);
    writer.put(record_version, 2);
    writer.put(record_size, 2);
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
    put_reading(writer, kept.last_reading);
    writer.seal();
    return record;
}

std::optional<Decoded> decode(std::span<const std::uint8_t> record) {
    if (record.size() != record_size) return std::nullopt;
    Reader head(record);
    if (head.take_word() != record_magic || head.take(2) != record_version || head.take(2) != record_size ||
        !is_whole(record))
        return std::nullopt;
    auto decoded = take_first_fields(record);
    Reader rest(record, last_reading_at);
    if (!decoded || !take_reading(rest, decoded->kept.last_reading)) return std::nullopt;
    return decoded;
}

std::optional<Decoded> decode_first(std::span<const std::uint8_t> record) {
    if (record.size() != first_record_size) return std::nullopt;
    Reader head(record);
    if (head.take_word() != record_magic || head.take_word() != 1 || !is_whole(record)) return std::nullopt;
    return take_first_fields(record);
}

bool is_of_newer_version(std::span<const std::uint8_t> bytes) {
    if (bytes.size() < mark_size) return false;
    Reader head(bytes);
    if (head.take_word() != record_magic || head.take(2) <= record_version) return false;
    const auto size = static_cast<std::size_t>(head.take(2));
    return size >= mark_size && size <= bytes.size() && is_whole(bytes.first(size));
}

Mark encode_mark(MarkKind kind, std::uint32_t number) {
    Mark mark{};
    Writer writer(mark);
    writer.put(mark_magic, 4);
    writer.put(static_cast<std::uint8_t>(kind), 4);
    writer.put(number, 4);
    writer.seal();
    return mark;
}

std::optional<std::uint32_t> decode_mark(MarkKind kind, std::span<const std::uint8_t> bytes) {
    if (bytes.size() < mark_size) return std::nullopt;
    Reader reader(bytes);
    if (reader.take_word() != mark_magic || reader.take_word() != static_cast<std::uint8_t>(kind) ||
        !is_whole(bytes.first(mark_size)))
        return std::nullopt;
    return reader.take_word();
}

}  // namespace cornerbench::storage
