#pragma once

#include <sys/wait.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

#include "sim/cli/browser.h"

/// What other people's programs say of a page of HTML, and what WCAG counts.
namespace cornerbench::report {

inline bool program_is_there(const std::string& program) {
    return std::system(("command -v " + program + " >/dev/null 2>&1").c_str()) == 0;
}

inline int status_of(const std::string& command) {
    const int status = std::system(command.c_str());
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

inline std::size_t count(const std::string& text, const std::string& part) {
    std::size_t n = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
    return n;
}

inline std::string text_of(const std::string& path) {
    std::ifstream in(path);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

/// What tidy (Debian package of that name) finds in the page at `path`, a line each; nothing where all is
/// well. Attributes that HTML got after tidy was written are let pass.
inline std::string tidy_findings(const std::string& path) {
    const std::string said = path + ".said";
    status_of("tidy -quiet -errors --show-warnings yes '" + path + "' > '" + said + "' 2>&1");
    std::istringstream lines(text_of(said));
    std::string findings;
    for (std::string line; std::getline(lines, line);) {
        if (line.find("proprietary attribute \"inputmode\"") == std::string::npos) findings += line + "\n";
    }
    return findings;
}

/// Relative luminance by WCAG 2.1 of "#rgb" or "#rrggbb".
inline double luminance(const std::string& colour) {
    double sum = 0.0;
    const double weights[] = {0.2126, 0.7152, 0.0722};
    const std::size_t digits = colour.size() == 4 ? 1 : 2;
    for (std::size_t i = 0; i < 3; ++i) {
        std::string part = colour.substr(1 + digits * i, digits);
        if (digits == 1) part += part;
        const double c = std::stoi(part, nullptr, 16) / 255.0;
        sum += weights[i] * (c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

/// The file that axe-core (npm) is in, if somebody named it and there is a browser to run it in; or empty.
inline std::string axe_script() {
    const char* axe = std::getenv("CORNERBENCH_AXE");
    return axe == nullptr || cli::find_browser().empty() ? "" : axe;
}

/// How many WCAG 2 rules axe-core finds broken in `page`, run in a browser without a window; -1 when it did
/// not run. `folder` is for its files.
inline int axe_violations(std::string page, const std::string& folder) {
    page.insert(page.rfind("</body>"),
                "<script>" + text_of(axe_script()) +
                    "</script><script>axe.run().then(r => document.body.append('VIOLATIONS ' + "
                    "r.violations.length + ' PASSES ' + r.passes.length + ' END ' + "
                    "r.violations.map(v => v.id)))</script>");
    std::ofstream(folder + "/axe.html") << page;
    status_of("'" + cli::find_browser() + "' --headless --no-sandbox --disable-gpu --user-data-dir='" +
              folder + "/profile' --virtual-time-budget=20000 --dump-dom 'file://" + folder +
              "/axe.html' > '" + folder + "/dump.html' 2>/dev/null");
    const std::string dump = text_of(folder + "/dump.html");
    const std::size_t at = dump.rfind("VIOLATIONS ");
    if (at == std::string::npos || dump.find("PASSES 0 ", at) != std::string::npos) return -1;
    return std::atoi(dump.c_str() + at + 11);
}

}  // namespace cornerbench::report
