using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Logging;

namespace Capacityplan.Web.Tests;

public sealed class HealthCheckCommandTests
{
    [Theory]
    [InlineData(true, "--check-health", "http://127.0.0.1:8080/healthz")]
    [InlineData(true, "--check-health")]
    [InlineData(false)]
    [InlineData(false, "--urls", "--check-health")]
    public void Asked_OnlyWhereItIsTheFirstArgument_IsTrue(bool expected, params string[] args) =>
        Assert.Equal(expected, HealthCheckCommand.Asked(args));

    [Theory]
    [InlineData("--check-health")]
    [InlineData("--check-health", "healthz")]
    [InlineData("--check-health", "ftp://127.0.0.1/")]
    [InlineData("--check-health", "http://127.0.0.1/", "http://127.0.0.1/")]
    public async Task Run_WithoutOneAddress_IsAMistakeOfTheCaller(params string[] args) =>
        Assert.Equal(2, await HealthCheckCommand.RunAsync(args));

    [Theory]
    [InlineData(200, 0)]
    [InlineData(204, 0)]
    [InlineData(404, 1)]
    [InlineData(503, 1)]
    public async Task Run_AServerThatAnswers_ExitsByItsStatusCode(int statusCode, int expected)
    {
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.WebHost.UseUrls("http://127.0.0.1:0");
        builder.Logging.ClearProviders();
        await using WebApplication app = builder.Build();
        app.MapGet("/healthz", () => Results.StatusCode(statusCode));
        await app.StartAsync(TestContext.Current.CancellationToken);

        Assert.Equal(expected, await HealthCheckCommand.RunAsync(["--check-health", $"{app.Urls.Single()}/healthz"]));
    }

    // Port 1 is reserved: nothing answers there.
    [Fact]
    public async Task Run_NothingListening_IsNotWell() =>
        Assert.Equal(1, await HealthCheckCommand.RunAsync(["--check-health", "http://127.0.0.1:1/healthz"]));
}
