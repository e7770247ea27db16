using System.Net;
using System.Text.RegularExpressions;

namespace Capacityplan.Web.Tests.Serving;

public sealed partial class SecurityHeadersTests(Site site) : IClassFixture<Site>
{
    [Theory]
    [InlineData("/", HttpStatusCode.OK)]
    [InlineData("/css/tokens.css", HttpStatusCode.OK)]
    [InlineData("/fonts/asap.woff2", HttpStatusCode.OK)]
    [InlineData("/_framework/blazor.web.js", HttpStatusCode.OK)]
    [InlineData("/healthz", HttpStatusCode.OK)]
    [InlineData("/error", HttpStatusCode.OK)]
    [InlineData("/no/such/page", HttpStatusCode.NotFound)]
    [InlineData("/api/no/such/resource", HttpStatusCode.NotFound)]
    public async Task Response_OfEveryKind_KeepsThePageToThisHost(string path, HttpStatusCode status)
    {
        using HttpClient client = site.CreateClient();

        using HttpResponseMessage response = await client.GetAsync(path, TestContext.Current.CancellationToken);

        Assert.Equal(status, response.StatusCode);
        string policy = Header(response, "Content-Security-Policy");
        Assert.Matches(
            "^default-src 'self'; script-src 'self' 'nonce-[A-Za-z0-9+/]{22}=='; style-src 'self' 'unsafe-inline'; "
            + "img-src 'self' data: blob:; object-src 'none'; base-uri 'self'; form-action 'self'; frame-ancestors 'none'$",
            policy);
        Assert.Equal("nosniff", Header(response, "X-Content-Type-Options"));
        Assert.Equal("DENY", Header(response, "X-Frame-Options"));
        Assert.Equal("same-origin", Header(response, "Referrer-Policy"));
        Assert.Contains("camera=()", Header(response, "Permissions-Policy"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nonce_OfTwoResponses_Differs()
    {
        using HttpClient client = site.CreateClient();

        string first = await PageNonce(client);
        string second = await PageNonce(client);

        Assert.NotEqual(first, second);
    }

    [Fact]
    public async Task ImportMap_OfAPage_CarriesTheNonceOfItsOwnResponse()
    {
        using HttpClient client = site.CreateClient();
        using HttpResponseMessage response = await client.GetAsync("/", TestContext.Current.CancellationToken);
        // A nonce may hold a plus sign, which the page writes as an entity.
        string page = WebUtility.HtmlDecode(await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));

        string nonce = NonceInPolicy().Match(Header(response, "Content-Security-Policy")).Groups[1].Value;

        Assert.NotEmpty(nonce);
        Assert.Contains($"""<script type="importmap" nonce="{nonce}">""", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/no/such/page")]
    public async Task Page_AsWritten_HasNoInlineScriptButTheImportMapAndNoHandlers(string path)
    {
        using HttpClient client = site.CreateClient();
        using HttpResponseMessage response = await client.GetAsync(path, TestContext.Current.CancellationToken);
        string page = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);

        string[] inline = [.. ScriptTag().Matches(page).Select(tag => tag.Value).Where(tag => !tag.Contains(" src=", StringComparison.Ordinal))];

        string only = Assert.Single(inline);
        Assert.Contains("importmap", only, StringComparison.Ordinal);
        Assert.DoesNotMatch(HandlerAttribute(), page);
    }

    private static async Task<string> PageNonce(HttpClient client)
    {
        using HttpResponseMessage response = await client.GetAsync("/", TestContext.Current.CancellationToken);
        return NonceInPolicy().Match(Header(response, "Content-Security-Policy")).Groups[1].Value;
    }

    private static string Header(HttpResponseMessage response, string name) => Assert.Single(response.Headers.GetValues(name));

    [GeneratedRegex("'nonce-([^']+)'")]
    private static partial Regex NonceInPolicy();

    [GeneratedRegex("<script[^>]*>")]
    private static partial Regex ScriptTag();

    [GeneratedRegex("<[^>]+ on[a-z]+=")]
    private static partial Regex HandlerAttribute();
}
