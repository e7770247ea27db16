using System.Net;
using Microsoft.AspNetCore.Builder;

namespace Capacityplan.Web.Tests.Serving;

public sealed class ServingTests(Site site) : IClassFixture<Site>
{
    [Fact]
    public async Task Health_OfARunningServer_IsHealthy()
    {
        using HttpClient client = site.CreateClient();

        Assert.Equal("Healthy", await client.GetStringAsync("/healthz", TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Page_ThatIsNotThere_SaysSoInWordsWithStatus404()
    {
        using HttpClient client = site.CreateClient();

        using HttpResponseMessage response = await client.GetAsync("/no/such/page", TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.NotFound, response.StatusCode);
        string page = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.Contains("There is no page at this address", page, StringComparison.Ordinal);
        Assert.Contains("""<main id="main" """, page, StringComparison.Ordinal);
        Assert.Contains("href=\"/no/such/page#main\"", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ApiResource_ThatIsNotThere_IsProblemDetails()
    {
        using HttpClient client = site.CreateClient();

        using HttpResponseMessage response = await client.GetAsync("/api/no/such/resource", TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.NotFound, response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
    }

    [Fact]
    public async Task FirstPaint_OfAnInteractivePage_IsTheFrameWithAWord()
    {
        using HttpClient client = site.CreateClient();

        string page = await client.GetStringAsync("/", TestContext.Current.CancellationToken);

        Assert.Contains("Opening the plan", page, StringComparison.Ordinal);
        Assert.Contains("""<nav aria-label="Pages">""", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Keys_OfThisServer_AreKeptInTheDataDirectory()
    {
        using HttpClient client = site.CreateClient();
        // A page carries protected descriptors, so serving one needs a key.
        await client.GetStringAsync("/", TestContext.Current.CancellationToken);

        Assert.NotEmpty(Directory.GetFiles(Path.Combine(site.DataDirectory, "keys"), "key-*.xml"));
    }

    [Fact]
    public async Task Request_ThatFails_IsAnsweredInPlainWordsWithoutAStackTrace()
    {
        DirectoryInfo data = Directory.CreateTempSubdirectory("capacityplan-tests-");
        try
        {
            await using WebApplication app = CapacityplanApp.Create(
            [
                "--urls=http://127.0.0.1:0",
                "--environment=Production",
                "--applicationName=Capacityplan.Web",
                $"--Capacityplan:DataDirectory={data.FullName}",
                "--Logging:LogLevel:Microsoft.AspNetCore=None",
                "--Logging:LogLevel:Default=None",
            ]);
            app.MapGet("/fails", string () => throw new InvalidOperationException("the inner workings"));
            await app.StartAsync(TestContext.Current.CancellationToken);
            using HttpClient client = new() { BaseAddress = new Uri(app.Urls.Single()) };

            using HttpResponseMessage response = await client.GetAsync("/fails", TestContext.Current.CancellationToken);

            Assert.Equal(HttpStatusCode.InternalServerError, response.StatusCode);
            string page = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
            Assert.Contains("Something went wrong on our side", page, StringComparison.Ordinal);
            Assert.DoesNotContain("the inner workings", page, StringComparison.Ordinal);
            Assert.DoesNotContain("InvalidOperationException", page, StringComparison.Ordinal);
            Assert.True(response.Headers.Contains("Content-Security-Policy"));
        }
        finally
        {
            data.Delete(recursive: true);
        }
    }
}
