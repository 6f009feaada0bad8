#pragma once

#include <ostream>

#include <nlohmann/json.hpp>

/// The one JSON document that `--json` prints.
namespace cornerbench::report {

using Json = nlohmann::ordered_json;

inline constexpr int json_schema = 1;

/// An object that begins with the schema's number.
inline Json json_document() {
    return Json{{"schema", json_schema}};
}

/// Indented by two, with a line end; text that is no UTF-8 is replaced rather than refused.
inline void print_json(std::ostream& out, const Json& document) {
    out << document.dump(2, ' ', false, Json::error_handler_t::replace) << '\n';
}

}  // namespace cornerbench::report
