using System.Net;
using System.Net.Http.Headers;
using System.Text;
using Capacityplan.Web.Api;
using Capacityplan.Web.Tests.Serving;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Tests.Api;

public sealed class RequestBodyTests
{
    [Fact]
    public async Task Body_ThatSaysItIsTooLarge_IsNotRead()
    {
        var context = new DefaultHttpContext();
        context.Request.ContentType = "application/json";
        context.Request.ContentLength = RequestBody.MostBytes + 1L;
        context.Request.Body = new UnreadableStream();

        (_, ProblemHttpResult? problem) = await RequestBody.ReadAsync(context.Request, TestContext.Current.CancellationToken);

        Assert.Equal(StatusCodes.Status413PayloadTooLarge, problem?.StatusCode);
    }

    [Fact]
    public async Task Body_OfUnknownLength_IsReadNoFurtherThanTheLimit()
    {
        var endless = new EndlessStream();
        var context = new DefaultHttpContext();
        context.Request.ContentType = "application/json";
        context.Request.Body = endless;

        (_, ProblemHttpResult? problem) = await RequestBody.ReadAsync(context.Request, TestContext.Current.CancellationToken);

        Assert.Equal(StatusCodes.Status413PayloadTooLarge, problem?.StatusCode);
        Assert.InRange(endless.Given, RequestBody.MostBytes, RequestBody.MostBytes + 1024 * 1024);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Body_OnARealServer_IsTakenUpToTheLimitAndRefusedBeyond(bool inChunks)
    {
        await using Site site = new();
        site.UseKestrel(0);
        site.StartServer();
        using HttpClient client = site.CreateClient();
        // A server that refuses a body closes the connection under it; a client that asks first hears why.
        client.DefaultRequestHeaders.ExpectContinue = true;
        client.DefaultRequestHeaders.TransferEncodingChunked = inChunks;

        using HttpResponseMessage atLimit = await client.PostAsync(ForecastCalls.Address, Padded(RequestBody.MostBytes), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.OK, atLimit.StatusCode);

        Refusal error = Assert.Single(await client.RefusedAsync(HttpStatusCode.RequestEntityTooLarge, Padded(RequestBody.MostBytes + 1)));
        Assert.Contains("32 MB (33,554,432 bytes)", error.Message, StringComparison.Ordinal);
    }

    /// <summary>The demo with blanks before it, so many bytes in all.</summary>
    private static ByteArrayContent Padded(int bytes)
    {
        byte[] demo = Encoding.UTF8.GetBytes(ForecastCalls.Demo);
        byte[] body = new byte[bytes];
        body.AsSpan().Fill((byte)' ');
        demo.CopyTo(body, bytes - demo.Length);
        var content = new ByteArrayContent(body);
        content.Headers.ContentType = new MediaTypeHeaderValue("application/json");
        return content;
    }

    private sealed class UnreadableStream : MemoryStream
    {
        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default) =>
            throw new InvalidOperationException("It is read all the same.");
    }

    private sealed class EndlessStream : MemoryStream
    {
        public long Given { get; private set; }

        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            Given += buffer.Length;
            return ValueTask.FromResult(buffer.Length);
        }
    }
}
