#include "firmware/console/error_queue.h"

namespace cornerbench::console {

std::string_view words(Error error) {
    switch (error) {
        case Error::none:
            return "No error";
        case Error::invalid_character:
            return "Invalid character";
        case Error::syntax:
            return "Syntax error";
        case Error::invalid_separator:
            return "Invalid separator";
        case Error::data_type:
            return "Data type error";
        case Error::parameter_not_allowed:
            return "Parameter not allowed";
        case Error::missing_parameter:
            return "Missing parameter";
        case Error::header_separator:
            return "Header separator error";
        case Error::mnemonic_too_long:
            return "Program mnemonic too long";
        case Error::undefined_header:
            return "Undefined header";
        case Error::header_suffix_out_of_range:
            return "Header suffix out of range";
        case Error::invalid_character_in_number:
            return "Invalid character in number";
        case Error::exponent_too_large:
            return "Exponent too large";
        case Error::too_many_digits:
            return "Too many digits";
        case Error::numeric_data_not_allowed:
            return "Numeric data not allowed";
        case Error::invalid_suffix:
            return "Invalid suffix";
        case Error::suffix_too_long:
            return "Suffix too long";
        case Error::suffix_not_allowed:
            return "Suffix not allowed";
        case Error::invalid_character_data:
            return "Invalid character data";
        case Error::character_data_too_long:
            return "Character data too long";
        case Error::character_data_not_allowed:
            return "Character data not allowed";
        case Error::invalid_string_data:
            return "Invalid string data";
        case Error::string_data_not_allowed:
            return "String data not allowed";
        case Error::block_data_not_allowed:
            return "Block data not allowed";
        case Error::expression_data_not_allowed:
            return "Expression data not allowed";
        case Error::execution:
            return "Execution error";
        case Error::command_protected:
            return "Command protected";
        case Error::data_out_of_range:
            return "Data out of range";
        case Error::too_much_data:
            return "Too much data";
        case Error::illegal_parameter_value:
            return "Illegal parameter value";
        case Error::data_corrupt_or_stale:
            return "Data corrupt or stale";
        case Error::hardware_missing:
            return "Hardware missing";
        case Error::storage_fault:
            return "Storage fault";
        case Error::calibration_failed:
            return "Calibration failed";
        case Error::queue_overflow:
            return "Queue overflow";
        case Error::communication:
            return "Communication error";
        case Error::input_overrun:
            return "Input buffer overrun";
        case Error::time_out:
            return "Time out error";
        case Error::query_deadlocked:
            return "Query DEADLOCKED";
    }
    return "Device-specific error";
}

std::uint8_t event_bit(Error error) {
    const int number = static_cast<int>(error);
    if (number <= -400) return 1u << 2;
    if (number <= -300) return 1u << 3;
    if (number <= -200) return 1u << 4;
    return number <= -100 ? 1u << 5 : 0;
}

Error error_for(Refusal refusal) {
    switch (refusal) {
        case Refusal::none:
            return Error::none;
        case Refusal::no_weight:
            return Error::data_corrupt_or_stale;
        case Refusal::not_stable:
        case Refusal::busy:
        case Refusal::not_positive:
            return Error::execution;
        case Refusal::out_of_range:
            return Error::data_out_of_range;
        case Refusal::sealed:
            return Error::command_protected;
        case Refusal::no_such:
            return Error::hardware_missing;
        case Refusal::full:
            return Error::too_much_data;
        case Refusal::bad_fit:
            return Error::calibration_failed;
        case Refusal::not_stored:
            return Error::storage_fault;
    }
    return Error::execution;
}

void ErrorQueue::push(Outcome outcome, std::string_view from_line) {
    if (outcome.error == Error::none) return;
    if (count_ == error_queue_size) {
        Entry& last = entries_[static_cast<std::size_t>((first_ + count_ - 1) % error_queue_size)];
        last = {};
        last.outcome = {Error::queue_overflow, {}};
        return;
    }
    Entry& entry = entries_[static_cast<std::size_t>((first_ + count_) % error_queue_size)];
    entry.outcome = outcome;
    entry.length = 0;
    for (const char c : from_line) {
        if (entry.length == entry.from_line.size()) break;
        // A quote would end the string that the error is told in.
        entry.from_line[entry.length++] = c == '"' || c < ' ' || c > '~' ? '\'' : c;
    }
    ++count_;
}

void ErrorQueue::write_oldest(TextWriter& writer) const {
    static constexpr Entry no_error{};
    const Entry& entry = count_ == 0 ? no_error : entries_[static_cast<std::size_t>(first_)];
    writer.put_integer(static_cast<int>(entry.outcome.error));
    writer.put(",\"");
    writer.put(words(entry.outcome.error));
    if (!entry.outcome.text.empty()) {
        writer.put(';');
        writer.put(entry.outcome.text);
    } else if (entry.outcome.high > 0) {
        writer.put(';');
        writer.put_integer(entry.outcome.low);
        writer.put(" to ");
        writer.put_integer(entry.outcome.high);
    }
    if (entry.length > 0) {
        writer.put(';');
        writer.put(std::string_view(entry.from_line.data(), entry.length));
    }
    writer.put('"');
}

void ErrorQueue::drop_oldest() {
    if (count_ == 0) return;
    first_ = (first_ + 1) % error_queue_size;
    --count_;
}

}  // namespace cornerbench::console
