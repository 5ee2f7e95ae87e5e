// A workshop with one small design on its shelf, without a browser.
#pragma once

#include <gtest/gtest.h>

#include <chrono>
#include <memory>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "files.h"
#include "workshop.h"

namespace rimeglow::workshop_fixture {

inline const std::string kSquare =
    "<svg xmlns='http://www.w3.org/2000/svg' width='10mm' height='10mm'>"
    "<path d='M0 0H90V90H0Z'/></svg>";
// Of frost alone, which needs no walks over facets: many changes in short time.
inline const std::string kTiny =
    "# kept\n[panel]\nwidth = \"30 mm\"\nheight = \"30 mm\"\nthickness = \"3 mm\"\n[art]\nfile = "
    "\"square.svg\"\n[mark.a]\nfrost = 1.0\n[lamp]\ncount = 3\npitch = \"8 mm\"\nflux_each = \"9 "
    "lm\"\n";

// GCC's address sanitizer keeps its allocator's locks as they are across a fork: a child that reads
// art may wait for one that the busy engine held just then, until its time is up. So the workshop
// is left to the release build; the workbench, the server and the gates are not.
inline constexpr bool kForksBesideTheEngine = RIMEGLOW_TEST_PHOTON_DIVISOR == 1;

class WorkshopTest : public OwnFolder {
 protected:
  void SetUp() override {
    if (!kForksBesideTheEngine) GTEST_SKIP() << "children may hang under this sanitizer";
    DesignShelf shelf(folder_);
    shelf.add("tiny", kTiny);
    shelf.save_file("tiny", {"square.svg", kSquare});
    workshop_ = std::make_unique<Workshop>(folder_, [](const auto&, const auto&) {});
  }

  HttpAnswer change(const std::string& what, const std::string& body) {
    return workshop_->change({what, {}, body});
  }
  HttpAnswer drop(const std::vector<NamedFile>& files) {
    nlohmann::json list = nlohmann::json::array();
    std::string bytes;
    for (const NamedFile& file : files) {
      list.push_back({file.name, file.bytes.size()});
      bytes += file.bytes;
    }
    return change("files", list.dump() + "\n" + bytes);
  }
  HttpAnswer edit(const std::string& key, const std::string& value, const std::string& standing) {
    return change("edit",
                  nlohmann::json{{"key", key}, {"value", value}, {"standing", standing}}.dump());
  }
  HttpAnswer ask(const std::string& what, std::map<std::string, std::string> query = {}) {
    return workshop_->answer({what, std::move(query), ""});
  }

  std::string scene() const { return DesignShelf(folder_).scene_text("tiny").value_or(""); }

  nlohmann::json told(const std::string& kind) const {
    Events events = workshop_->greeting();
    while (!events.empty()) {
      const auto [name, data] = events.take_first();
      if (name == kind) return nlohmann::json::parse(data);
    }
    return {};
  }

  // Until there is a picture, or until the light is known.
  enum class Until { seen, known };
  nlohmann::json round(Until until) const {
    for (int i = 0; i < 6000; ++i) {
      const nlohmann::json told_now = told("round");
      if (told_now.is_object() && (until == Until::seen || told_now.at("phase") == "known"))
        return told_now;
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return {};
  }

  std::unique_ptr<Workshop> workshop_;
};

}  // namespace rimeglow::workshop_fixture
