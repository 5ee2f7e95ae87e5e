// Where requests wait until their heads have come whole. The server's library (libmicrohttpd) takes
// lines that end in a bare line feed, so heads are looked at, and left unread, before it sees them.
#pragma once

#include <chrono>
#include <functional>
#include <map>
#include <thread>
#include <vector>

#include "descriptor.h"

namespace rimeglow {

class HttpPorch {
 public:
  // Listens on `port` of 127.0.0.1, on a free one for 0; throws std::system_error when it cannot.
  explicit HttpPorch(int port);
  ~HttpPorch() { stop(); }
  HttpPorch(const HttpPorch&) = delete;
  HttpPorch& operator=(const HttpPorch&) = delete;

  int port() const;

  // Hands the sockets of those who have said a proper head to `let_in`, which closes them. Others
  // are answered 400 or 431, or shut out when they take longer than `patience`.
  void open(std::chrono::milliseconds patience, std::function<void(int socket)> let_in);
  void stop();

 private:
  using Clock = std::chrono::steady_clock;

  struct Visitor {
    Descriptor socket;
    Clock::time_point since;
  };

  bool watch(int descriptor, unsigned events) const;
  void work();
  void accept_all();
  void look_at(int socket, bool is_over);
  void shut_out_the_slow();

  Descriptor listening_;
  Descriptor stopper_;
  Descriptor watcher_;
  std::map<int, Visitor> visitors_;  // by their sockets
  std::vector<char> head_;           // as far as it has come
  std::chrono::milliseconds patience_{};
  std::function<void(int)> let_in_;
  std::thread thread_;
};

}  // namespace rimeglow
