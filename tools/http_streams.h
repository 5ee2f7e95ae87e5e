// Server-sent events (HTML Living Standard, 9.2) to every open page. A page that reads slowly
// misses what has been replaced: of each kind of event only the last waits for it.
#pragma once

#include <cstddef>
#include <functional>
#include <initializer_list>
#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <utility>
#include <vector>

#include <microhttpd.h>

namespace rimeglow {

// Kinds of events and their data, each one line of JSON, in the order they happened; of each kind
// only the last.
class Events {
 public:
  Events() = default;
  Events(std::initializer_list<std::pair<std::string, std::string>> events) : all_(events) {}

  bool empty() const { return all_.empty(); }
  void add(const std::string& kind, const std::string& data);
  void drop(const std::string& kind);
  void add_newer(Events newer);
  std::pair<std::string, std::string> take_first();

 private:
  std::vector<std::pair<std::string, std::string>> all_;
};

class HttpStreams {
 public:
  static constexpr std::size_t kMostStreams = 16;

  HttpStreams();
  ~HttpStreams();

  // Answers a request by a stream that begins with what `greeting` says, and misses nothing that is
  // published while it is asked. The oldest ends when there are too many.
  MHD_Response* open(MHD_Connection* connection, const std::function<Events()>& greeting);

  void publish(const std::string& kind, const std::string& data);

  // Says nothing, but finds out who is gone.
  void beat();

  // Ends all streams, for good.
  void close();

 private:
  struct Stream;

  static ssize_t read(void* stream, std::uint64_t position, char* to, std::size_t room);
  static void forget(void* stream);
  void wake(Stream& stream);

  std::mutex mutex_;
  std::list<std::unique_ptr<Stream>> streams_;
  bool closed_ = false;
};

}  // namespace rimeglow
