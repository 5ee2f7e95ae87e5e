// rimeglow: predicts how an engraved acrylic panel glows when LEDs light it through an edge.
#include <csignal>
#include <iostream>

#include "cli.h"
#include "interruption.h"

int main(int argc, char** argv) {
  rimeglow::end_when_interrupted();
  std::signal(SIGXFSZ, SIG_IGN);  // a limit on file sizes is then an error like a full disk
  return rimeglow::run_command_line({argv + 1, argv + argc}, std::cout, std::cerr);
}
