#include "gdal_guard.hpp"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_vsi.h>
#include <fmt/format.h>
#include <gdal.h>

#include <algorithm>
#include <mutex>

namespace heatrow::detail {

GdalGuard::GdalGuard() {
    static std::once_flag registered;
    std::call_once(registered, [] { GDALAllRegister(); });
    CPLPushErrorHandler(CPLQuietErrorHandler);
    CPLErrorReset();
}

GdalGuard::~GdalGuard() {
    CPLPopErrorHandler();
}

std::string GdalGuard::last_error() const {
    if (CPLGetLastErrorType() == CE_None) {
        return {};
    }
    std::string message = CPLGetLastErrorMsg();
    std::replace(message.begin(), message.end(), '\n', ' ');
    return message;
}

std::string GdalGuard::why(const std::string& what) const {
    const std::string error = last_error();
    return error.empty() ? what : fmt::format("{} ({})", what, error);
}

namespace {

std::string new_memory_path() {
    static std::atomic<std::uint64_t> number{0};
    return fmt::format("/vsimem/heatrow-{}", number.fetch_add(1));
}

}  // namespace

GdalMemoryFile::GdalMemoryFile(std::span<const std::uint8_t> bytes) : path_(new_memory_path()) {
    // GDAL takes a mutable pointer, but a file that is opened for reading is not written to.
    auto* data = const_cast<std::uint8_t*>(bytes.data());
    VSIFCloseL(VSIFileFromMemBuffer(path_.c_str(), data, bytes.size(), FALSE));
}

GdalMemoryFile::~GdalMemoryFile() {
    VSIUnlink(path_.c_str());
}

GdalMemoryTarget::GdalMemoryTarget() : path_(new_memory_path()) {}

GdalMemoryTarget::~GdalMemoryTarget() {
    VSIUnlink(path_.c_str());
}

std::string GdalMemoryTarget::bytes() const {
    vsi_l_offset size = 0;
    const GByte* data = VSIGetMemFileBuffer(path_.c_str(), &size, FALSE);
    return data == nullptr ? std::string() : std::string(reinterpret_cast<const char*>(data), size);
}

}  // namespace heatrow::detail
