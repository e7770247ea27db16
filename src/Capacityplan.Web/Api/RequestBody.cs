using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.Net.Http.Headers;

namespace Capacityplan.Web.Api;

/// <summary>Takes a JSON body in, up to a limit.</summary>
internal static class RequestBody
{
    /// <summary>The largest body, bytes: 32 MB.</summary>
    public const int MostBytes = 32 * 1024 * 1024;

    /// <summary>Reads the body.</summary>
    /// <param name="request">The request.</param>
    /// <param name="cancellation">Stops reading.</param>
    /// <returns>The body; or the problem for which it is not read, or not read on.</returns>
    public static async Task<(ReadOnlyMemory<byte> Body, ProblemHttpResult? Problem)> ReadAsync(HttpRequest request, CancellationToken cancellation)
    {
        if (!IsJson(request))
            return (default, NotJson());
        // The server's own limit is a little lower than ours, counts the framing of chunks too, and would break off a caller
        // who is still sending before the answer is read. What is kept is counted below.
        if (request.HttpContext.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit)
            limit.MaxRequestBodySize = 2L * MostBytes;
        if (request.ContentLength > MostBytes)
            return (default, TooLarge());

        var body = new MemoryStream();
        byte[] part = new byte[64 * 1024];
        try
        {
            int read;
            while ((read = await request.Body.ReadAsync(part, cancellation)) > 0)
            {
                // A chunked body does not say its length beforehand.
                if (body.Length + read > MostBytes)
                    return (default, TooLarge());
                body.Write(part, 0, read);
            }
        }
        catch (BadHttpRequestException refused)
        {
            return (default, refused.StatusCode == StatusCodes.Status413PayloadTooLarge
                ? TooLarge()
                : RequestProblem.Of(refused.StatusCode, "The body did not arrive as the request's headers announced it."));
        }

        return (body.GetBuffer().AsMemory(0, (int)body.Length), null);
    }

    /// <summary>The answer to a body that is not sent as JSON.</summary>
    public static ProblemHttpResult NotJson() => RequestProblem.Of(
        StatusCodes.Status415UnsupportedMediaType, "The body has to be JSON in UTF-8: send it with the header Content-Type: application/json.");

    private static bool IsJson(HttpRequest request) =>
        request.HasJsonContentType()
        && MediaTypeHeaderValue.TryParse(request.ContentType, out MediaTypeHeaderValue? type)
        && (!type.Charset.HasValue || type.Charset.Equals("utf-8", StringComparison.OrdinalIgnoreCase)
            || type.Charset.Equals("\"utf-8\"", StringComparison.OrdinalIgnoreCase));

    private static ProblemHttpResult TooLarge() => RequestProblem.Of(
        StatusCodes.Status413PayloadTooLarge, FormattableString.Invariant($"The body is larger than 32 MB ({MostBytes:#,0} bytes); nothing of it was used."));
}
