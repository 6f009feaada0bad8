#include "firmware/console/message.h"

#include "firmware/console/characters.h"
#include "firmware/console/number_text.h"

namespace cornerbench::console {

namespace {

/// Characters that may stand in a unit of measurement (IEEE 488.2, 7.7.3; from memory).
bool is_in_suffix(char c) {
    return is_letter(c) || is_digit(c) || c == '/' || c == '.' || c == '-' || c == '^';
}

std::size_t word_length(std::string_view text) {
    if (text.empty() || !is_letter(text.front())) return 0;
    std::size_t length = 1;
    while (length < text.size() && goes_on_word(text[length])) ++length;
    return length;
}

Error error_for(NumberError error) {
    switch (error) {
        case NumberError::none:
            return Error::none;
        case NumberError::no_number:
            return Error::invalid_character_in_number;
        case NumberError::exponent_too_large:
            return Error::exponent_too_large;
        case NumberError::too_many_digits:
            return Error::too_many_digits;
    }
    return Error::syntax;
}

/// Takes a header's words off `text`.
Error take_header(std::string_view& text, const HeaderPath& path, MessageUnit& unit) {
    const std::string_view all = text;
    Error error = Error::none;
    if (!text.empty() && text.front() == '*') {
        unit.star = true;
        text.remove_prefix(1);
    } else if (!text.empty() && text.front() == ':') {
        text.remove_prefix(1);
    } else {
        unit.header = path;
    }
    for (;;) {
        const std::size_t length = word_length(text);
        if (length == 0) {
            const bool odd = !text.empty() && !is_letter(text.front()) && text.front() != ':';
            error = odd ? Error::invalid_character : Error::syntax;
            break;
        }
        const std::string_view word = first(text, length);
        std::size_t letters = word.size();
        while (letters > 1 && is_digit(word[letters - 1])) --letters;
        if (letters > longest_word) error = Error::mnemonic_too_long;
        if (unit.header.count == max_nodes) error = Error::undefined_header;
        if (error != Error::none) break;
        unit.header.nodes[unit.header.count++] = word;
        text.remove_prefix(length);
        if (unit.star || text.empty() || text.front() != ':') break;
        text.remove_prefix(1);
    }
    if (error == Error::none && !text.empty() && text.front() == '?') {
        unit.query = true;
        text.remove_prefix(1);
    }
    if (error == Error::none && !text.empty() && !is_blank(text.front())) error = Error::header_separator;
    unit.header_text = first(all, all.size() - text.size());
    if (error != Error::none) unit.header_text = all;
    return error;
}

Error take_number(std::string_view& text, Parameter& parameter) {
    const bool other_base = text.front() == '#';
    std::string_view number = text;
    if (other_base) number.remove_prefix(1);
    const NumberRead read = other_base ? read_other_base(number) : read_decimal(number);
    if (read.error != NumberError::none) return error_for(read.error);
    parameter.kind = DataKind::number;
    parameter.number = read.value;
    text.remove_prefix(read.length + (other_base ? 1 : 0));
    while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
    if (text.empty() || text.front() == ',') return Error::none;
    if (other_base || (!is_letter(text.front()) && text.front() != '/'))
        return Error::invalid_character_in_number;
    std::size_t length = 1;
    while (length < text.size() && is_in_suffix(text[length])) ++length;
    if (length > longest_word) return Error::suffix_too_long;
    parameter.suffix = first(text, length);
    text.remove_prefix(length);
    return Error::none;
}

/// A string in either kind of quotes; a quote in it is doubled.
Error take_string(std::string_view& text, Parameter& parameter) {
    parameter.kind = DataKind::string;
    const char quote = text.front();
    text.remove_prefix(1);
    while (!text.empty()) {
        const char c = text.front();
        text.remove_prefix(1);
        if (c != quote) continue;
        if (text.empty() || text.front() != quote) return Error::none;
        text.remove_prefix(1);
    }
    return Error::invalid_string_data;
}

Error take_word(std::string_view& text, Parameter& parameter) {
    parameter.kind = DataKind::word;
    const std::size_t length = word_length(text);
    if (length > longest_word) return Error::character_data_too_long;
    text.remove_prefix(length);
    return Error::none;
}

Error take_parameter(std::string_view& text, Parameter& parameter) {
    const char begin = text.front();
    const std::string_view all = text;
    Error error = Error::none;
    const char base = text.size() > 1 ? upper(text[1]) : '\0';
    if (is_digit(begin) || begin == '+' || begin == '-' || begin == '.' ||
        (begin == '#' && (base == 'H' || base == 'Q' || base == 'B'))) {
        error = take_number(text, parameter);
    } else if (is_letter(begin)) {
        error = take_word(text, parameter);
    } else if (begin == '"' || begin == '\'') {
        error = take_string(text, parameter);
    } else if (begin == '#' || begin == '(') {
        // No command takes either: nothing behind it can be made sense of.
        parameter.kind = begin == '#' ? DataKind::block : DataKind::expression;
        text = {};
    } else {
        return begin == ',' ? Error::syntax : Error::invalid_character;
    }
    parameter.text = first(all, all.size() - text.size());
    return error;
}

}  // namespace

std::string_view take_unit(std::string_view& rest) {
    const std::string_view all = rest;
    char quote = '\0';
    while (!rest.empty()) {
        const char c = rest.front();
        if (quote == '\0' && c == ';') {
            const std::string_view unit = first(all, all.size() - rest.size());
            rest.remove_prefix(1);
            return unit;
        }
        if (quote == c)
            quote = '\0';
        else if (quote == '\0' && (c == '"' || c == '\''))
            quote = c;
        rest.remove_prefix(1);
    }
    return all;
}

Error read_unit(std::string_view text, HeaderPath& path, MessageUnit& unit) {
    unit = {};
    text = without_blanks(text);
    if (const Error error = take_header(text, path, unit); error != Error::none) return error;
    if (!unit.star) {
        path = unit.header;
        --path.count;
    }
    text = without_blanks(text);
    while (!text.empty()) {
        if (unit.parameter_count == max_parameters) return Error::parameter_not_allowed;
        Parameter& parameter = unit.parameters[unit.parameter_count];
        if (const Error error = take_parameter(text, parameter); error != Error::none) return error;
        ++unit.parameter_count;
        text = without_blanks(text);
        if (text.empty()) break;
        if (text.front() != ',') return Error::invalid_separator;
        text.remove_prefix(1);
        text = without_blanks(text);
        if (text.empty()) return Error::syntax;
    }
    return Error::none;
}

}  // namespace cornerbench::console
