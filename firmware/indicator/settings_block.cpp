#include "firmware/indicator/settings_block.h"

#include <bit>
#include <cmath>
#include <limits>

#include "firmware/indicator/settings_fields.h"
#include "firmware/storage/crc32c.h"

namespace cornerbench {

namespace {

constexpr std::uint32_t block_mark = 0x7362'6331;
/// To be counted up with every change of what `settings_fields::each` goes through.
constexpr std::uint32_t block_version = 1;
constexpr std::size_t crc_at = settings_block_size - 4;

class BlockWriter {
  public:
    explicit BlockWriter(SettingsBlock& block) : block_(block) {}

    void put(std::uint64_t value, int bytes) {
        for (int i = 0; i < bytes && at_ < crc_at; ++i)
            block_[at_++] = static_cast<std::uint8_t>(value >> (8 * i));
    }
    template <class... Double>
    void numbers(const Double&... value) {
        (put(std::bit_cast<std::uint64_t>(value), 8), ...);
    }
    void whole(std::int64_t value, std::int64_t, std::int64_t) { put(static_cast<std::uint64_t>(value), 8); }
    template <class Word>
    void word(Word value, Word) {
        put(static_cast<std::uint64_t>(value), 1);
    }
    void flag(bool value) { put(value ? 1 : 0, 1); }
    void text(std::string_view text) {
        text = text.substr(0, longest_identity_word);
        put(text.size(), 1);
        for (std::size_t i = 0; i < longest_identity_word; ++i)
            put(i < text.size() ? static_cast<std::uint8_t>(text[i]) : 0, 1);
    }
    std::size_t size() const { return at_; }

  private:
    SettingsBlock& block_;
    std::size_t at_ = 0;
};

class BlockReader {
  public:
    explicit BlockReader(std::span<const std::uint8_t> block) : block_(block) {}

    std::uint64_t take(int bytes) {
        std::uint64_t value = 0;
        for (int i = 0; i < bytes && at_ < block_.size(); ++i)
            value |= std::uint64_t{block_[at_++]} << (8 * i);
        return value;
    }
    template <class... Double>
    void numbers(Double&... value) {
        ((value = number()), ...);
    }
    template <class Whole>
    void whole(Whole& value, std::int64_t least, std::int64_t most) {
        const auto read = static_cast<std::int64_t>(take(8));
        possible_ = possible_ && read >= least && read <= most;
        if (possible_) value = static_cast<Whole>(read);
    }
    template <class Word>
    void word(Word& value, Word last) {
        const std::uint64_t read = take(1);
        possible_ = possible_ && read <= static_cast<std::uint64_t>(last);
        if (possible_) value = static_cast<Word>(read);
    }
    void flag(bool& value) {
        const std::uint64_t read = take(1);
        possible_ = possible_ && read <= 1;
        value = read == 1;
    }
    void text(std::string_view& text) {
        const auto size = static_cast<std::size_t>(take(1));
        possible_ = possible_ && size <= longest_identity_word;
        if (possible_) text = {reinterpret_cast<const char*>(block_.data() + at_), size};
        at_ += longest_identity_word;
    }
    bool possible() const { return possible_; }

  private:
    double number() {
        const auto value = std::bit_cast<double>(take(8));
        possible_ = possible_ && std::fabs(value) <= std::numeric_limits<double>::max();
        return value;
    }

    std::span<const std::uint8_t> block_;
    std::size_t at_ = 0;
    bool possible_ = true;
};

}  // namespace

SettingsBlock encode(const IndicatorSettings& settings) {
    SettingsBlock block{};
    BlockWriter writer(block);
    writer.put(block_mark, 4);
    writer.put(block_version, 4);
    settings_fields::each(writer, settings);
    const std::uint32_t crc = storage::crc32c(std::span(block).first(crc_at));
    for (std::size_t i = 0; i < 4; ++i) block[crc_at + i] = static_cast<std::uint8_t>(crc >> (8 * i));
    return block;
}

SettingsError decode(std::span<const std::uint8_t> block, IndicatorSettings& settings) {
    if (block.size() < settings_block_size) return SettingsError::no_block;
    block = block.first(settings_block_size);
    BlockReader reader(block);
    if (reader.take(4) != block_mark) return SettingsError::no_block;
    BlockReader crc(block.subspan(crc_at));
    if (reader.take(4) != block_version) return SettingsError::other_version;
    if (crc.take(4) != storage::crc32c(block.first(crc_at))) return SettingsError::damaged;
    settings_fields::each(reader, settings);
    return reader.possible() ? SettingsError::none : SettingsError::impossible;
}

}  // namespace cornerbench
