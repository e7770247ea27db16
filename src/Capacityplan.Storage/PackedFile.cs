using System.IO.Compression;
using System.Security.Cryptography;

namespace Capacityplan.Storage;

/// <summary>A file's content, compressed, with a key that is the same for the same content only.</summary>
public sealed class PackedFile
{
    private PackedFile(string key, byte[] content, long length)
    {
        Key = key;
        Content = content;
        Length = length;
    }

    /// <summary>SHA-256 of the content, in hexadecimal digits.</summary>
    public string Key { get; }

    /// <summary>Bytes of the content.</summary>
    public long Length { get; }

    /// <summary>The content, compressed.</summary>
    internal byte[] Content { get; }

    /// <summary>True for a text that can be a <see cref="Key"/>. A plan put by another program may hold any text in its place.</summary>
    internal static bool IsKey(string text) => text.Length == 2 * SHA256.HashSizeInBytes && text.All(char.IsAsciiHexDigitLower);

    /// <summary>Packs a file while something else reads it.</summary>
    /// <param name="content">The file; whoever disposes the packing stream disposes it.</param>
    public static PackingStream Reading(Stream content) => new(content);

    /// <summary>Passes a stream on to its reader, and packs what was read.</summary>
    public sealed class PackingStream : Stream
    {
        private readonly Stream _content;
        private readonly IncrementalHash _hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        private readonly MemoryStream _packed = new();
        private readonly GZipStream _zip;
        private long _read;
        private bool _isAtEnd;

        internal PackingStream(Stream content)
        {
            _content = content;
            // Twice as fast as the usual level, and a tenth larger.
            _zip = new GZipStream(_packed, CompressionLevel.Fastest, leaveOpen: true);
        }

        /// <inheritdoc/>
        public override bool CanRead => true;

        /// <inheritdoc/>
        public override bool CanSeek => false;

        /// <inheritdoc/>
        public override bool CanWrite => false;

        /// <inheritdoc/>
        public override long Length => throw new NotSupportedException();

        /// <inheritdoc/>
        public override long Position
        {
            get => _read;
            set => throw new NotSupportedException();
        }

        /// <summary>The file, once it has been read to its end.</summary>
        /// <exception cref="InvalidOperationException">It has not.</exception>
        public PackedFile Complete()
        {
            if (!_isAtEnd)
                throw new InvalidOperationException("The file has not been read to its end.");
            _zip.Dispose();
            return new PackedFile(Convert.ToHexStringLower(_hash.GetHashAndReset()), _packed.ToArray(), _read);
        }

        /// <inheritdoc/>
        public override int Read(byte[] buffer, int offset, int count) => Take(buffer.AsSpan(offset, count), _content.Read(buffer, offset, count));

        /// <inheritdoc/>
        public override async ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            int read = await _content.ReadAsync(buffer, cancellationToken);
            return Take(buffer.Span, read);
        }

        /// <inheritdoc/>
        public override Task<int> ReadAsync(byte[] buffer, int offset, int count, CancellationToken cancellationToken) =>
            ReadAsync(buffer.AsMemory(offset, count), cancellationToken).AsTask();

        /// <inheritdoc/>
        public override void Flush()
        {
        }

        /// <inheritdoc/>
        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        /// <inheritdoc/>
        public override void SetLength(long value) => throw new NotSupportedException();

        /// <inheritdoc/>
        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();

        /// <inheritdoc/>
        protected override void Dispose(bool disposing)
        {
            if (disposing)
            {
                _zip.Dispose();
                _hash.Dispose();
                _content.Dispose();
            }

            base.Dispose(disposing);
        }

        private int Take(Span<byte> buffer, int read)
        {
            _isAtEnd |= read == 0 && buffer.Length > 0;
            _read += read;
            _hash.AppendData(buffer[..read]);
            _zip.Write(buffer[..read]);
            return read;
        }
    }
}
