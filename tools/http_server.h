// The page's own web server, on 127.0.0.1 only: files of the page, answers, changes, and a stream
// of events. Every request passes the gates (http_gates.h) before anything is done for it; memory,
// connections and the time a request may take are bounded. Knows nothing of panels.
#pragma once

#include <chrono>
#include <functional>
#include <map>
#include <memory>
#include <span>
#include <string>
#include <string_view>

#include "http_gates.h"
#include "http_streams.h"

namespace rimeglow {

struct PageFile {
  std::string_view path;  // "/", "/ticket.js"
  std::string_view type;
  std::string_view bytes;
};

struct HttpRequest {
  std::string path;  // behind kApi
  std::map<std::string, std::string> query;
  std::string body;

  // The value of a query's name, or nothing.
  std::string at(const std::string& name) const {
    const auto found = query.find(name);
    return found == query.end() ? std::string() : found->second;
  }
};

// What is served. Answers are given one at a time, changes as well, beside each other and never on
// the thread that listens; both may throw, which is told as a fault of the program.
struct HttpSite {
  std::span<const PageFile> files;
  std::function<HttpAnswer(const HttpRequest&)> answer;
  std::function<HttpAnswer(const HttpRequest&)> change;
  std::function<Events()> greeting;  // what a new stream begins with
};

struct HttpLimits {
  std::chrono::milliseconds longest_request{20'000};  // to arrive whole
  std::chrono::milliseconds beat{5'000};              // between two looks at who is there
};

class HttpServer {
 public:
  // Listens on `port`, on a free one for 0. Throws std::system_error when it cannot.
  HttpServer(HttpSite site, int port, HttpLimits limits = {});
  ~HttpServer();
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  int port() const;
  // With the token behind the #, where no browser sends it anywhere.
  std::string address() const;
  // Ends all answers and streams; what is published afterwards reaches nobody.
  void stop();
  void publish(const std::string& kind, const std::string& data);

 private:
  class Daemon;
  std::unique_ptr<Daemon> daemon_;
};

}  // namespace rimeglow
