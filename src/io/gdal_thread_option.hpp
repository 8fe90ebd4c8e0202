// One of GDAL's options, set for this thread while the object lives.
#pragma once

#include <cpl_conv.h>

#include <optional>
#include <string>

namespace heatrow::detail {

class ThreadOption {
  public:
    ThreadOption(const char* key, const std::string& value) : key_(key) {
        if (const char* before = CPLGetThreadLocalConfigOption(key, nullptr)) {
            before_ = before;
        }
        CPLSetThreadLocalConfigOption(key, value.c_str());
    }
    ~ThreadOption() { CPLSetThreadLocalConfigOption(key_, before_ ? before_->c_str() : nullptr); }
    ThreadOption(const ThreadOption&) = delete;
    ThreadOption& operator=(const ThreadOption&) = delete;

  private:
    const char* key_;
    std::optional<std::string> before_;
};

}  // namespace heatrow::detail
