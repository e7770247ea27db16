using System.Net;
using System.Text.RegularExpressions;

namespace Capacityplan.Web.Tests.Serving;

public sealed partial class SiteAssetsTests(Site site) : IClassFixture<Site>
{
    [Theory]
    [InlineData("/css/tokens.css", "text/css")]
    [InlineData("/fonts/asap.woff2", "font/woff2")]
    [InlineData("/fonts/asap-OFL.txt", "text/plain")]
    [InlineData("/js/theme.js", "text/javascript")]
    [InlineData("/favicon.svg", "image/svg+xml")]
    public async Task Asset_ByItsPlainName_IsServedAndAskedForAgain(string path, string contentType)
    {
        using HttpClient client = site.CreateClient();

        using HttpResponseMessage response = await client.GetAsync(path, TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        Assert.Equal(contentType, response.Content.Headers.ContentType?.MediaType);
        Assert.True(response.Headers.CacheControl is { NoCache: true } or { MustRevalidate: true });
        Assert.NotNull(response.Headers.ETag);
    }

    [Fact]
    public async Task Assets_APageNames_AreOnThisHostFingerprintedAndKeptForGood()
    {
        using HttpClient client = site.CreateClient();
        string page = await client.GetStringAsync("/", TestContext.Current.CancellationToken);

        string[] named = [.. AssetReference().Matches(page).Select(match => match.Groups["name"].Value).Distinct()];

        // Style sheets, both fonts, MudBlazor's two files, the icon and the scripts.
        Assert.True(named.Length >= 15, string.Join(", ", named));
        foreach (string reference in named)
        {
            Assert.DoesNotContain("//", reference, StringComparison.Ordinal);
            using HttpResponseMessage response = await client.GetAsync("/" + reference, TestContext.Current.CancellationToken);
            Assert.True(response.StatusCode == HttpStatusCode.OK, $"{reference}: {response.StatusCode}");
            string cache = response.Headers.CacheControl?.ToString() ?? "";
            Assert.True(cache.Contains("immutable", StringComparison.Ordinal), $"{reference}: {cache}");
        }
    }

    [Fact]
    public async Task StyleSheet_WhereTheBrowserTakesIt_ComesCompressed()
    {
        using HttpClient client = site.CreateClient();
        using HttpRequestMessage request = new(HttpMethod.Get, "/css/sheet.css");
        request.Headers.AcceptEncoding.ParseAdd("gzip");

        using HttpResponseMessage response = await client.SendAsync(request, TestContext.Current.CancellationToken);

        Assert.Equal("gzip", Assert.Single(response.Content.Headers.ContentEncoding));
    }

    [Fact]
    public async Task Page_WhereTheBrowserTakesIt_ComesCompressed()
    {
        using HttpClient client = site.CreateClient();
        using HttpRequestMessage request = new(HttpMethod.Get, "/");
        request.Headers.AcceptEncoding.ParseAdd("br");

        using HttpResponseMessage response = await client.SendAsync(request, TestContext.Current.CancellationToken);

        Assert.Equal("br", Assert.Single(response.Content.Headers.ContentEncoding));
    }

    [GeneratedRegex("""(?:href|src)="(?<name>[^"#]+\.(?:css|js|svg|woff2))"|url\("(?<name>[^"]+)"\)""")]
    private static partial Regex AssetReference();
}
