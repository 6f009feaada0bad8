#include <unistd.h>

#include <iostream>

#include "sim/cli/application.h"

int main(int argc, char** argv) {
    cornerbench::cli::Session session(std::cout, std::cerr);
    session.out_is_terminal = isatty(STDOUT_FILENO) == 1;
    session.err_is_terminal = isatty(STDERR_FILENO) == 1;
    return cornerbench::cli::run(argc, argv, session);
}
