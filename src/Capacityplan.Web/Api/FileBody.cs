using System.Text;
using Capacityplan.Core.Reading;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.Net.Http.Headers;

namespace Capacityplan.Web.Api;

/// <summary>Takes a file in as the body of a request, read as it arrives, up to a limit.</summary>
internal static class FileBody
{
    /// <summary>The largest body, bytes: 256 MB.</summary>
    public const long MostBytes = 256L * 1024 * 1024;

    /// <summary>The media types a file may be sent as; what it is shows in its content.</summary>
    public static readonly string[] MediaTypes = ["text/plain", "text/csv", "application/json"];

    /// <summary>Reads a task graph out of the body.</summary>
    /// <param name="request">The request.</param>
    /// <param name="cancellation">Stops reading.</param>
    /// <returns>What was read; or the problem for which it is not, or not read on.</returns>
    public static async Task<(TaskGraphReading? Reading, ProblemHttpResult? Problem)> ReadGraphAsync(HttpRequest request, CancellationToken cancellation)
    {
        if (!IsText(request))
            return (null, NotText());
        // As for JSON bodies: what is kept is counted below, and the caller hears why.
        if (request.HttpContext.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit)
            limit.MaxRequestBodySize = 2 * MostBytes;
        if (request.ContentLength > MostBytes)
            return (null, TooLarge());
        try
        {
            using var counted = new CountedStream(request.Body);
            using var reader = new StreamReader(counted, Encoding.UTF8, detectEncodingFromByteOrderMarks: true, bufferSize: 1 << 16);
            TaskGraphReading reading = await TaskGraphReader.ReadAsync(reader, cancellation: cancellation);
            return (reading, null);
        }
        catch (BodyTooLargeException)
        {
            return (null, TooLarge());
        }
        catch (BadHttpRequestException refused)
        {
            return (null, refused.StatusCode == StatusCodes.Status413PayloadTooLarge
                ? TooLarge()
                : RequestProblem.Of(refused.StatusCode, "The body did not arrive as the request's headers announced it."));
        }
    }

    /// <summary>The answer to a body that is not sent as one of the media types.</summary>
    public static ProblemHttpResult NotText() => RequestProblem.Of(
        StatusCodes.Status415UnsupportedMediaType,
        "The body has to be the file itself in UTF-8: send it with the header Content-Type: text/csv, text/plain or application/json.");

    private static bool IsText(HttpRequest request) =>
        MediaTypeHeaderValue.TryParse(request.ContentType, out MediaTypeHeaderValue? type)
        && MediaTypes.Any(known => type.MediaType.Equals(known, StringComparison.OrdinalIgnoreCase))
        && (!type.Charset.HasValue || HeaderUtilities.RemoveQuotes(type.Charset).Equals("utf-8", StringComparison.OrdinalIgnoreCase));

    private static ProblemHttpResult TooLarge() => RequestProblem.Of(
        StatusCodes.Status413PayloadTooLarge, FormattableString.Invariant($"The body is larger than 256 MB ({MostBytes:#,0} bytes); nothing of it was used."));

    private sealed class BodyTooLargeException : Exception;

    // A chunked body does not say its length beforehand.
    private sealed class CountedStream(Stream body) : Stream
    {
        private long _read;

        public override bool CanRead => true;

        public override bool CanSeek => false;

        public override bool CanWrite => false;

        public override long Length => throw new NotSupportedException();

        public override long Position
        {
            get => _read;
            set => throw new NotSupportedException();
        }

        public override async ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            int read = await body.ReadAsync(buffer, cancellationToken);
            _read += read;
            return _read <= MostBytes ? read : throw new BodyTooLargeException();
        }

        public override Task<int> ReadAsync(byte[] buffer, int offset, int count, CancellationToken cancellationToken) =>
            ReadAsync(buffer.AsMemory(offset, count), cancellationToken).AsTask();

        public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

        public override void Flush()
        {
        }

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }
}
