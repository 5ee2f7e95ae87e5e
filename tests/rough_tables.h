// Reads the tables of tests/data: computed by other programs than this one, their sources in their
// first lines.
#pragma once

#include <array>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace rimeglow::rough_tables {

inline constexpr double kIndex = 1.49;

// Light on one side of a rough interface at one angle, and the three numbers of the table.
struct Row {
  bool inside = false;
  double alpha = 0.0;
  double theta_deg = 0.0;
  std::array<double, 3> values{};
};

inline Row parse(const std::string& line) {
  std::istringstream in(line);
  std::string side;
  std::getline(in, side, ',');
  Row row;
  row.inside = side == "inside";
  char comma = ',';
  in >> row.alpha >> comma >> row.theta_deg;
  for (double& value : row.values) in >> comma >> value;
  if (!in || (!row.inside && side != "outside")) throw std::runtime_error("bad row: " + line);
  return row;
}

inline std::vector<Row> read(const std::string& name) {
  std::ifstream file(std::string(RIMEGLOW_TEST_DATA_DIR) + "/" + name);
  std::vector<Row> rows;
  std::string line;
  std::getline(file, line);  // source
  std::getline(file, line);  // column names
  while (std::getline(file, line)) rows.push_back(parse(line));
  if (rows.empty()) throw std::runtime_error("no rows in " + name);
  return rows;
}

}  // namespace rimeglow::rough_tables
