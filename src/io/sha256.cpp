#include "heatrow/io/sha256.hpp"

#include "heatrow/core/error.hpp"

#include <openssl/evp.h>

#include <array>
#include <fstream>
#include <memory>
#include <vector>

namespace heatrow {
namespace {

class Sha256 {
  public:
    Sha256() : context_(EVP_MD_CTX_new(), EVP_MD_CTX_free) {
        require(context_ != nullptr && EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr) == 1);
    }
    void add(const void* data, std::size_t size) { require(EVP_DigestUpdate(context_.get(), data, size) == 1); }
    std::string finish() {
        std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
        unsigned int size = 0;
        require(EVP_DigestFinal_ex(context_.get(), digest.data(), &size) == 1);
        constexpr std::string_view kDigits = "0123456789abcdef";
        std::string text;
        for (unsigned int i = 0; i < size; ++i) {
            text.push_back(kDigits[digest[i] >> 4U]);
            text.push_back(kDigits[digest[i] & 15U]);
        }
        return text;
    }

  private:
    static void require(bool done) {
        if (!done) {
            throw Error(ErrorKind::internal, "cannot compute SHA-256", "", "the crypto library refused", "");
        }
    }
    std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context_;
};

}  // namespace

std::string sha256_of(std::span<const std::uint8_t> bytes) {
    Sha256 hash;
    hash.add(bytes.data(), bytes.size());
    return hash.finish();
}

std::string sha256_of_file(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    Sha256 hash;
    std::vector<char> block(std::size_t{1} << 20U);
    while (stream) {
        stream.read(block.data(), static_cast<std::streamsize>(block.size()));
        hash.add(block.data(), static_cast<std::size_t>(stream.gcount()));
    }
    if (!stream.eof() || std::filesystem::is_directory(file)) {
        throw Error(ErrorKind::input,
                    "cannot read a file",
                    file.string(),
                    "it cannot be opened or read",
                    "Check the path and the permissions");
    }
    return hash.finish();
}

}  // namespace heatrow
