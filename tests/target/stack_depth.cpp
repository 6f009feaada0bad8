#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

// Usage: cornerbench_stack RULES CALLGRAPH...
//
// The deepest the stack can get, from the call graphs that gcc writes with -fcallgraph-info=su. A call
// through a pointer goes wherever the file RULES says; what these do not know, a recursion and a frame of no
// fixed size are refused. Exit status: 0 with the depth and the way to it, 1 refused, 2 wrong usage.

namespace {

struct Function {
    std::string words;  ///< as declared
    long bytes = -1;    ///< of its own frame; -1 for one that is not in any graph
    bool dynamic = false;
    bool indirect = false;  ///< calls through a pointer
    std::set<std::string> calls;
};

/// Where calls through a pointer lead: from functions that match to functions that match.
struct Rule {
    std::regex from;
    std::regex to;
    std::string text;
    bool may_be_empty = false;
    bool used = false;
};

struct Graph {
    std::map<std::string, Function> functions;
    std::vector<Rule> rules;
    std::vector<std::pair<std::regex, std::string>> roots;  ///< and what each is called
    long library_bytes = 0;  ///< of a function that is in no graph, with all it calls
};

/// What stands between quotes behind `key`; empty without it.
std::string quoted(const std::string& line, const std::string& key) {
    const std::size_t begin = line.find(key + ": \"");
    if (begin == std::string::npos) return {};
    const std::size_t text = begin + key.size() + 3;
    return line.substr(text, line.find('"', text) - text);
}

/// The mangled name, without the file that a function only it knows has in front.
std::string bare(const std::string& title) {
    const std::size_t colon = title.rfind(':');
    return colon == std::string::npos ? title : title.substr(colon + 1);
}

/// What patterns are held against: mangled name, a blank, and the declaration.
std::string searched(const std::string& title, const Function& function) {
    return bare(title) + " " + function.words;
}

bool read_graph(const std::string& path, Graph& graph) {
    std::ifstream file(path);
    for (std::string line; std::getline(file, line);) {
        if (line.rfind("edge:", 0) == 0) {
            Function& from = graph.functions[quoted(line, "sourcename")];
            const std::string to = quoted(line, "targetname");
            if (to == "__indirect_call")
                from.indirect = true;
            else
                from.calls.insert(to);
        } else if (line.rfind("node:", 0) == 0 && line.find("shape : ellipse") == std::string::npos) {
            Function& function = graph.functions[quoted(line, "title")];
            const std::string label = quoted(line, "label");
            function.words = label.substr(0, label.find("\\n"));
            const std::size_t bytes = label.rfind("\\n", label.find(" bytes ("));
            function.bytes = std::strtol(label.c_str() + bytes + 2, nullptr, 10);
            function.dynamic = label.find("bytes (static)") == std::string::npos;
        }
    }
    return file.eof();
}

/// Lines "root NAME PATTERN", "library BYTES", "FROM -> TO" and, where there may be none, "FROM ->? TO"; '#'
/// begins a remark.
bool read_rules(const std::string& path, Graph& graph) {
    std::ifstream file(path);
    for (std::string line; std::getline(file, line);) {
        if (line.empty() || line[0] == '#') continue;
        const std::size_t arrow = std::min(line.find(" -> "), line.find(" ->? "));
        if (line.rfind("root ", 0) == 0) {
            const std::size_t blank = line.find(' ', 5);
            graph.roots.emplace_back(std::regex(line.substr(blank + 1)), line.substr(5, blank - 5));
        } else if (line.rfind("library ", 0) == 0) {
            graph.library_bytes = std::strtol(line.c_str() + 8, nullptr, 10);
        } else if (arrow != std::string::npos) {
            const bool may_be_empty = line[arrow + 3] == '?';
            graph.rules.push_back({std::regex(line.substr(0, arrow)),
                                   std::regex(line.substr(arrow + (may_be_empty ? 5 : 4))), line,
                                   may_be_empty});
        } else {
            std::fprintf(stderr, "%s: no rule: %s\n", path.c_str(), line.c_str());
            return false;
        }
    }
    return file.eof() && !graph.roots.empty();
}

/// Goes down every way there is, each function once.
class Descent {
  public:
    explicit Descent(Graph& graph) : graph_(graph) {
        // Of the copies of an inline function the largest: nobody knows which one the linker takes.
        for (const auto& [title, function] : graph.functions) {
            if (function.bytes < 0) continue;
            std::string& known = defined_[bare(title)];
            if (known.empty() || graph.functions[known].bytes < function.bytes) known = title;
        }
    }

    long depth_below(const std::string& title) {
        const auto known = depth_.find(title);
        if (known != depth_.end()) return known->second;
        const auto place = graph_.functions.find(title);
        if (place == graph_.functions.end() || place->second.bytes < 0) {
            const auto elsewhere = definition(title);
            if (elsewhere != defined_.end() && elsewhere->second != title)
                return depth_below(elsewhere->second);
            library_.insert(bare(title));
            return graph_.library_bytes;
        }
        const Function& function = place->second;
        if (!under_way_.insert(title).second) {
            refuse("calls itself, directly or not", function.words);
            return 0;
        }
        if (function.dynamic) refuse("has a frame of no fixed size", function.words);
        std::set<std::string> callees = function.calls;
        if (function.indirect) add_indirect(title, function, callees);
        long deepest = 0;
        for (const std::string& callee : callees) {
            const long depth = depth_below(callee);
            if (depth <= deepest) continue;
            deepest = depth;
            next_[title] = callee;
        }
        under_way_.erase(title);
        return depth_[title] = function.bytes + deepest;
    }

    void tell_way(std::string title) const {
        for (;;) {
            auto place = graph_.functions.find(title);
            if (place == graph_.functions.end() || place->second.bytes < 0) {
                const auto elsewhere = definition(title);
                if (elsewhere == defined_.end()) {
                    std::printf("  %6ld  %s (library)\n", graph_.library_bytes, bare(title).c_str());
                    return;
                }
                title = elsewhere->second;
                place = graph_.functions.find(title);
            }
            std::printf("  %6ld  %.100s\n", place->second.bytes, place->second.words.c_str());
            const auto next = next_.find(title);
            if (next == next_.end()) return;
            title = next->second;
        }
    }

    bool refused() const { return refused_; }
    const std::set<std::string>& library() const { return library_; }

  private:
    /// Where a function stands that another file calls. A constructor of a whole object is the same code as
    /// that of a base (C1 and C2 of the Itanium C++ ABI), and only one of them is in the graph.
    std::map<std::string, std::string>::const_iterator definition(const std::string& title) const {
        std::string name = bare(title);
        const auto found = defined_.find(name);
        const std::size_t whole = name.rfind("C1E");
        if (found != defined_.end() || whole == std::string::npos) return found;
        return defined_.find(name.replace(whole, 3, "C2E"));
    }

    void add_indirect(const std::string& title, const Function& function, std::set<std::string>& callees) {
        bool known = false;
        for (Rule& rule : graph_.rules) {
            if (!std::regex_search(searched(title, function), rule.from)) continue;
            known = true;
            for (const auto& [other, callee] : graph_.functions) {
                if (callee.bytes < 0 || !std::regex_search(searched(other, callee), rule.to)) continue;
                callees.insert(other);
                rule.used = true;
            }
        }
        if (!known) refuse("calls through a pointer, and no rule says what", function.words);
    }

    void refuse(const char* why, const std::string& words) {
        refused_ = true;
        std::printf("%s: %s\n", why, words.c_str());
    }

    Graph& graph_;
    std::map<std::string, std::string> defined_;  ///< title of each bare name
    std::map<std::string, long> depth_;
    std::map<std::string, std::string> next_;
    std::set<std::string> under_way_;
    std::set<std::string> library_;
    bool refused_ = false;
};

}  // namespace

int main(int count, char** words) {
    Graph graph;
    if (count < 3 || !read_rules(words[1], graph)) {
        std::fputs("usage: cornerbench_stack RULES CALLGRAPH...\n", stderr);
        return 2;
    }
    for (int i = 2; i < count; ++i) {
        if (!read_graph(words[i], graph)) {
            std::fprintf(stderr, "%s: cannot be read\n", words[i]);
            return 2;
        }
    }
    Descent descent(graph);
    long sum = 0;
    bool every_root = true;
    for (const auto& [pattern, name] : graph.roots) {
        std::string deepest;
        for (const auto& [title, function] : graph.functions) {
            if (function.bytes < 0 || !std::regex_search(searched(title, function), pattern)) continue;
            if (deepest.empty() || descent.depth_below(title) > descent.depth_below(deepest)) deepest = title;
        }
        if (deepest.empty()) {
            std::printf("root %s: no function matches\n", name.c_str());
            every_root = false;
            continue;
        }
        std::printf("%s: %ld bytes\n", name.c_str(), descent.depth_below(deepest));
        descent.tell_way(deepest);
        sum += descent.depth_below(deepest);
    }
    for (const Rule& rule : graph.rules) {
        if (rule.used || rule.may_be_empty) continue;
        std::printf("a rule that leads nowhere: %s\n", rule.text.c_str());
        every_root = false;
    }
    std::printf("library functions, %ld bytes each:", graph.library_bytes);
    for (const std::string& name : descent.library()) std::printf(" %s", name.c_str());
    std::printf("\nstack %ld\n", sum);
    return every_root && !descent.refused() ? 0 : 1;
}
