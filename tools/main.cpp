// rimeglow: predicts how an engraved acrylic panel glows when LEDs light it through an edge.
#include <iostream>

#include "cli.h"

int main(int argc, char** argv) {
  return rimeglow::run_command_line({argv + 1, argv + argc}, std::cout, std::cerr);
}
