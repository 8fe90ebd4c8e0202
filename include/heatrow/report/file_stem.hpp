// Names from outside as file names: safe on every usual file system, never a path, each given once.
#pragma once

#include <set>
#include <string>
#include <string_view>

namespace heatrow {

class FileStems {
  public:
    // Letters, digits, '.', '_' and '-' of the name are kept, runs of anything else become one '_'; shortened to 80
    // characters; a number is added where the stem (letter case aside) was given before.
    std::string claim(std::string_view name);

  private:
    std::set<std::string> taken_;
};

}  // namespace heatrow
