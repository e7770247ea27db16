using System.Net.Http.Headers;
using System.Text;
using System.Text.Json.Nodes;
using Capacityplan.Web.Tests.Serving;

namespace Capacityplan.Web.Tests.Api;

/// <summary>Calls of what is stored and changed by version.</summary>
internal static class ResourceCalls
{
    public static async Task<HttpResponseMessage> SendAsync(
        this Site site, HttpMethod method, string address, string? body = null, string? ifMatch = null, string? ifNoneMatch = null)
    {
        HttpClient client = site.CreateClient();
        using var request = new HttpRequestMessage(method, address);
        if (body is not null)
            request.Content = new StringContent(body, Encoding.UTF8, new MediaTypeHeaderValue("application/json"));
        if (ifMatch is not null)
            request.Headers.TryAddWithoutValidation("If-Match", ifMatch);
        if (ifNoneMatch is not null)
            request.Headers.TryAddWithoutValidation("If-None-Match", ifNoneMatch);
        return await client.SendAsync(request, TestContext.Current.CancellationToken);
    }

    public static Task<string> TextAsync(HttpResponseMessage answer) => answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);

    public static async Task<JsonNode> JsonAsync(HttpResponseMessage answer) => JsonNode.Parse(await TextAsync(answer))!;

    public static async Task<string> MessageAsync(HttpResponseMessage answer) => (string)(await JsonAsync(answer))["detail"]!;
}
