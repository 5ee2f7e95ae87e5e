// One thread that does what it is asked, one thing after another, and takes only so many orders.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>

namespace rimeglow {

class Clerk {
 public:
  explicit Clerk(std::size_t longest_queue)
      : longest_queue_(longest_queue), thread_([this] { work(); }) {}
  ~Clerk() { stop(); }
  Clerk(const Clerk&) = delete;
  Clerk& operator=(const Clerk&) = delete;

  // False when the queue is full, or the clerk has stopped. `order` must not throw.
  bool ask(std::function<void()> order) {
    {
      const std::lock_guard lock(mutex_);
      if (stopping_ || orders_.size() >= longest_queue_) return false;
      orders_.push_back(std::move(order));
    }
    something_.notify_one();
    return true;
  }

  // Does what was ordered, then stops.
  void stop() {
    {
      const std::lock_guard lock(mutex_);
      stopping_ = true;
    }
    something_.notify_one();
    if (thread_.joinable()) thread_.join();
  }

 private:
  void work() {
    for (;;) {
      std::unique_lock lock(mutex_);
      something_.wait(lock, [this] { return stopping_ || !orders_.empty(); });
      if (orders_.empty()) return;
      const std::function<void()> order = std::move(orders_.front());
      orders_.pop_front();
      lock.unlock();
      order();
    }
  }

  std::size_t longest_queue_;
  std::mutex mutex_;
  std::condition_variable something_;
  std::deque<std::function<void()>> orders_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace rimeglow
