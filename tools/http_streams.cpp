#include "http_streams.h"

#include <algorithm>
#include <cstring>

namespace rimeglow {

struct HttpStreams::Stream {
  HttpStreams* all = nullptr;
  MHD_Connection* connection = nullptr;
  Events waiting;
  std::string sending;  // what is left of the event on its way
  bool is_beating = false;
  bool is_ending = false;
  bool is_asleep = false;
};

namespace {

constexpr std::size_t kBlock = 16 * 1024;

std::string as_text(const std::string& kind, const std::string& data) {
  return "event: " + kind + "\ndata: " + data + "\n\n";
}

}  // namespace

void Events::add(const std::string& kind, const std::string& data) {
  drop(kind);
  all_.emplace_back(kind, data);
}

void Events::drop(const std::string& kind) {
  std::erase_if(all_, [&](const auto& event) { return event.first == kind; });
}

void Events::add_newer(Events newer) {
  while (!newer.empty()) {
    const auto [kind, data] = newer.take_first();
    add(kind, data);
  }
}

std::pair<std::string, std::string> Events::take_first() {
  auto first = std::move(all_.front());
  all_.erase(all_.begin());
  return first;
}

HttpStreams::HttpStreams() = default;
HttpStreams::~HttpStreams() = default;

MHD_Response* HttpStreams::open(MHD_Connection* connection,
                                const std::function<Events()>& greeting) {
  auto made = std::make_unique<Stream>();
  Stream* const stream = made.get();
  stream->all = this;
  stream->connection = connection;
  MHD_Response* response = MHD_create_response_from_callback(
      MHD_SIZE_UNKNOWN, kBlock, &HttpStreams::read, stream, &HttpStreams::forget);
  if (!response) return nullptr;
  {
    const std::lock_guard lock(mutex_);
    stream->is_ending = closed_;
    streams_.push_back(std::move(made));
    if (streams_.size() > kMostStreams) {
      streams_.front()->is_ending = true;
      wake(*streams_.front());
    }
  }
  Events first = greeting();
  const std::lock_guard lock(mutex_);
  first.add_newer(std::move(stream->waiting));
  stream->waiting = std::move(first);
  return response;
}

void HttpStreams::publish(const std::string& kind, const std::string& data) {
  const std::lock_guard lock(mutex_);
  for (const auto& stream : streams_) {
    stream->waiting.add(kind, data);
    wake(*stream);
  }
}

void HttpStreams::beat() {
  const std::lock_guard lock(mutex_);
  for (const auto& stream : streams_) {
    stream->is_beating = true;
    wake(*stream);
  }
}

void HttpStreams::close() {
  const std::lock_guard lock(mutex_);
  closed_ = true;
  for (const auto& stream : streams_) {
    stream->is_ending = true;
    wake(*stream);
  }
}

void HttpStreams::wake(Stream& stream) {
  if (stream.is_asleep) MHD_resume_connection(stream.connection);
  stream.is_asleep = false;
}

ssize_t HttpStreams::read(void* cls, std::uint64_t, char* to, std::size_t room) {
  auto& stream = *static_cast<Stream*>(cls);
  const std::lock_guard lock(stream.all->mutex_);
  if (stream.is_ending) return MHD_CONTENT_READER_END_OF_STREAM;
  if (stream.sending.empty() && !stream.waiting.empty()) {
    const auto [kind, data] = stream.waiting.take_first();
    stream.sending = as_text(kind, data);
  }
  if (stream.sending.empty() && stream.is_beating) stream.sending = ":\n\n";
  stream.is_beating = false;
  if (stream.sending.empty()) {
    stream.is_asleep = true;
    MHD_suspend_connection(stream.connection);
    return 0;
  }
  const std::size_t count = std::min(room, stream.sending.size());
  std::memcpy(to, stream.sending.data(), count);
  stream.sending.erase(0, count);
  return static_cast<ssize_t>(count);
}

void HttpStreams::forget(void* cls) {
  auto* stream = static_cast<Stream*>(cls);
  HttpStreams& all = *stream->all;
  const std::lock_guard lock(all.mutex_);
  all.streams_.remove_if([&](const auto& held) { return held.get() == stream; });
}

}  // namespace rimeglow
