using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.Logging;

namespace Capacityplan.Web.Tests.Serving;

/// <summary>The program as it runs in production, on a test server and with a data folder of its own.</summary>
public sealed class Site : WebApplicationFactory<Program>
{
    private readonly DirectoryInfo _data = Directory.CreateTempSubdirectory("capacityplan-tests-");

    public string DataDirectory => _data.FullName;

    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseEnvironment("Production");
        builder.UseSetting("Capacityplan:DataDirectory", _data.FullName);
        // As published: without it a build's assets are watched for changes and never cached.
        builder.UseSetting("ReloadStaticAssetsAtRuntime", "false");
        builder.ConfigureLogging(logging => logging.ClearProviders());
    }

    public override async ValueTask DisposeAsync()
    {
        await base.DisposeAsync();
        if (Directory.Exists(_data.FullName))
            _data.Delete(recursive: true);
    }
}
