#include "serve.h"

#include <atomic>
#include <chrono>
#include <memory>
#include <ostream>
#include <system_error>
#include <thread>
#include <vector>

#include "cli.h"
#include "design_shelf.h"
#include "embedded_files.h"
#include "http_server.h"
#include "interruption.h"
#include "workshop.h"

namespace rimeglow {
namespace {

namespace fs = std::filesystem;

constexpr int kUsualPort = 7430;

std::string_view type_of(const fs::path& file) {
  if (file.extension() == ".html") return "text/html; charset=utf-8";
  if (file.extension() == ".css") return "text/css; charset=utf-8";
  if (file.extension() == ".js") return "text/javascript; charset=utf-8";
  return "image/svg+xml";
}

// "/" is index.html; the paths live as long as the program.
std::vector<PageFile> page_files() {
  constexpr std::string_view kFolder = "tools/page";
  std::vector<PageFile> files;
  for (const EmbeddedFile& file : embedded_files()) {
    if (!file.name.starts_with(kFolder)) continue;
    const std::string_view path = file.name.substr(kFolder.size());
    files.push_back({path == "/index.html" ? "/" : path, type_of(path), file.bytes()});
  }
  return files;
}

std::unique_ptr<HttpServer> listening(const HttpSite& site, const std::optional<int>& port) {
  try {
    return std::make_unique<HttpServer>(site, port.value_or(kUsualPort));
  } catch (const std::system_error& error) {
    if (port || error.code() != std::errc::address_in_use) throw;
    return std::make_unique<HttpServer>(site, 0);
  }
}

}  // namespace

int serve(const ServeOptions& options, std::ostream& out, std::ostream& err) {
  const std::vector<PageFile> files = page_files();
  const fs::path designs = options.designs.value_or(usual_design_folder());
  std::unique_ptr<HttpServer> listener;  // outlives the workshop, which goes on publishing
  std::atomic<HttpServer*> server = nullptr;
  Workshop workshop(designs, [&server](const std::string& kind, const std::string& data) {
    if (HttpServer* open = server) open->publish(kind, data);
  });
  const InterruptGuard guard;
  listener = listening({files, [&](const HttpRequest& request) { return workshop.answer(request); },
                        [&](const HttpRequest& request) { return workshop.change(request); },
                        [&] { return workshop.greeting(); }},
                       options.port);
  server = listener.get();
  out << listener->address() << "\n" << std::flush;
  err << "Open this address in a browser on this machine. Designs are kept in " << designs.string()
      << "\nCtrl-C ends the page.\n";
  while (!guard.interrupted()) std::this_thread::sleep_for(std::chrono::milliseconds(50));
  listener->stop();
  return kDone;
}

}  // namespace rimeglow
